// Answers what is supposed as it is typed. The form works without it: it asks the same address, and puts what comes back
// around the form, which stays as it is under the hands of whoever types. What does not hold is told beside it, and the
// answer before stays.
const form = document.querySelector('#what-if form');
if (form) {
  const PAUSE = 350;
  const said = document.createElement('p');
  said.setAttribute('role', 'status');
  form.querySelector('.acts').after(said);
  let timer = 0;
  let asked = null;

  /** The part of a page that holds its form, from a part that does. */
  const path = (part, held) => [...part.children].find((child) => child === held || child.contains(held));

  /** Puts everything of `fresh` but its form in the place of everything of `old` but its own. */
  const renew = (old, fresh, freshForm) => {
    const kept = path(old, form);
    const like = path(fresh, freshForm);
    if (!kept || !like) return;
    const children = [...fresh.childNodes];
    const at = children.indexOf(like);
    for (const child of [...old.childNodes]) if (child !== kept) child.remove();
    // Not by what the form itself can do: its fields may be named like that.
    old.prepend(...children.slice(0, at));
    old.append(...children.slice(at + 1));
    if (kept !== form) renew(kept, like, freshForm);
  };

  const question = () => {
    const given = [...new FormData(form)].filter(([, value]) => String(value).trim() !== '');
    return new URLSearchParams(given).toString();
  };

  const answer = async () => {
    asked?.abort();
    asked = new AbortController();
    const address = `${location.pathname}?${question()}`;
    let page;
    try {
      const answered = await fetch(address, { signal: asked.signal, headers: { accept: 'text/html' } });
      page = new DOMParser().parseFromString(await answered.text(), 'text/html');
      if (!answered.ok) {
        const why = [...page.querySelectorAll('#what-if .problems li')].map((line) => line.textContent);
        said.textContent = why.join(' ');
        return;
      }
    } catch {
      // Asked again meanwhile, or nobody answers: the button still asks.
      return;
    }
    const freshForm = page.querySelector('#what-if form');
    const [main, fresh] = [document.querySelector('main'), page.querySelector('main')];
    if (!freshForm || !fresh) return;
    said.textContent = '';
    const top = form.getBoundingClientRect().top;
    renew(main, fresh, freshForm);
    // What grew or shrank above does not move the form away.
    scrollBy({ top: form.getBoundingClientRect().top - top, behavior: 'instant' });
    history.replaceState(null, '', address + location.hash);
  };

  form.addEventListener('input', () => {
    clearTimeout(timer);
    timer = setTimeout(answer, PAUSE);
  });
}
