// Moves the clock of an outage on between two loads of the page. The page is right without it. Time since the page was
// made is the browser's own count, so a wrong clock on the phone changes nothing.
const clock = document.querySelector('[data-clock]');
if (clock) {
  const begun = Number(clock.dataset.clock);
  const hours = clock.querySelector('[data-hours]');
  const minutes = clock.querySelector('[data-minutes]');
  const show = () => {
    const seconds = begun + performance.now() / 1000;
    hours.textContent = String(Math.floor(seconds / 3600));
    minutes.textContent = String(Math.floor((seconds % 3600) / 60));
  };
  setInterval(show, 5000);
}
