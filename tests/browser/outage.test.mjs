// An outage of three days, played through from its beginning to its report: by the coordinator at a desk, and by whoever
// stands at the hall with a phone. KEEPWELL_SCREENS names a folder for pictures of it.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { PHONE, WIDE, faultsInEveryLook, press, printed, sidewaysFaults, startHouse, visit } from './harness.mjs';

const FOLDER = process.env.KEEPWELL_SCREENS;

const house = await startHouse();
after(() => house.stop());

/** Opens a window, does something in it, and closes it. */
async function at(viewport, deed, script = true) {
  const window = await house.reader({ viewport, script });
  try {
    await deed(window.page, window);
  } finally {
    await window.close();
  }
}

/** The page at an address holds up on a desk and on a phone, in every look; its text. */
async function holds(address, name) {
  let text = '';
  for (const viewport of [WIDE, PHONE]) {
    await at(viewport, async (page, window) => {
      await visit(window, address);
      const faults = [...(await faultsInEveryLook(window)), ...(await sidewaysFaults(page))];
      if (faults.length > 0) assert.fail(`${address} at ${viewport.width}:\n${faults.join('\n')}`);
      text = await page.locator('body').innerText();
      for (const look of FOLDER ? ['light', 'dark'] : []) {
        await window.as(look);
        await page.screenshot({ path: join(FOLDER, `${name}-${viewport.width}-${look}.png`), fullPage: true });
      }
    });
  }
  return text.replace(/\s+/g, ' ');
}

async function fill(page, fields) {
  for (const [name, value] of Object.entries(fields)) {
    const field = page.locator(`[name="${name}"]`).first();
    if ((await field.evaluate((field) => field.tagName)) === 'SELECT') await field.selectOption(value);
    else await field.fill(value);
  }
}

const send = (page) => press(page.locator('main form.form button.main'));

test('three days without mains, from the first hour to the report', async (t) => {
  const yesterday = new Date(Date.now() - 3 * 86_400_000);
  const day = yesterday.toISOString().slice(0, 10);

  await t.test('it begins, on a phone and without script', async () => {
    assert.match(await holds('/outage', 'outage-none'), /none is on/);
    await at(PHONE, async (page) => {
      await page.goto('/outage');
      await press(page.getByRole('link', { name: 'The mains are off: begin' }));
      await fill(page, { since: `${day} 07:40`, ration: 'basic', target_days: 'ten' });
      await send(page);
      assert.match(await page.locator('main').innerText(), /“ten” is not a number/, 'what was typed is named');
      assert.equal(await page.locator('[name=since]').inputValue(), `${day} 07:40`, 'what was typed stays');
      await fill(page, { target_days: '10' });
      await send(page);
      assert.equal(new URL(page.url()).pathname, '/outage');
    }, false);
  });

  await t.test('every page says so, and today changes its face', async () => {
    for (const address of ['/', '/sites', '/log', '/upkeep', '/set-up', '/data']) {
      await at(WIDE, async (page) => {
        await page.goto(address);
        assert.match(await page.locator('body').innerText(), /Outage, day [345]/, address);
      });
    }
    assert.match(await holds('/', 'outage-today'), /The mains are off since/);
  });

  await t.test('water is given out at the hall, by phone', async () => {
    await at(PHONE, async (page) => {
      await page.goto('/log');
      await press(page.locator('main a[href^="/log/sites/"]').first());
      await press(page.locator('main a[href$="/given_out"], main a[href*="/given_out"]').first());
      await fill(page, { people: '40', litres_each: '10' });
      await send(page);
      assert.match(await page.locator('main').innerText(), /400|Logged/i);
    });
  });

  await t.test('the ration is cut; a form that was overtaken is told so', async () => {
    await at(WIDE, async (page) => {
      await at(WIDE, async (other) => {
        await page.goto('/outage/change');
        await other.goto('/outage/change');
        await fill(other, { ration: 'lean' });
        await send(other);
        await fill(page, { ration: 'drinking' });
        await send(page);
        assert.match(await page.locator('main').innerText(), /Changed while you were at it/);
      });
    });
    const text = await holds('/outage', 'outage');
    assert.match(text, /Ration in force: Lean, 7.5 L/);
    assert.match(text, /40 people served/);
    assert.match(text, /400 L/);
  });

  await t.test('the report stands on one page', async () => {
    await holds('/outage/report', 'outage-report');
    await at(WIDE, async (page, window) => {
      await visit(window, '/outage/report');
      const { pages } = await printed(page, FOLDER ? join(FOLDER, 'outage-report.pdf') : undefined);
      assert.equal(pages, 1);
      // As it prints, within the smaller of A4 and letter: 180 by 250 mm at 96 dots to the inch.
      await page.emulateMedia({ media: 'print' });
      const box = await page.locator('.report').boundingBox();
      assert.ok(box.width <= (180 / 25.4) * 96 + 1, `${box.width} px wide`);
      const foot = await page.evaluate(() => {
        const report = document.querySelector('.report');
        return Math.max(...[...report.querySelectorAll('*')].map((e) => e.getBoundingClientRect().bottom)) - report.getBoundingClientRect().top;
      });
      assert.ok(foot <= (250 / 25.4) * 96, `${foot} px high`);
      await visit(window, '/outage');
      const sheets = (await printed(page, FOLDER ? join(FOLDER, 'outage.pdf') : undefined)).pages;
      assert.ok(sheets <= 5, `the outage takes ${sheets} sheets`);
    });
  });

  await t.test('it ends, and what ran out first is kept', async () => {
    let over = '';
    await at(WIDE, async (page) => {
      await page.goto('/outage/end');
      await fill(page, { ran_out: 'diesel, at Birch Court' });
      await send(page);
      over = new URL(page.url()).pathname;
      assert.match(over, /^\/outages\//);
    });
    assert.match(await holds(over, 'outage-over'), /Ran out first: diesel, at Birch Court/);
    assert.match(await holds(`${over}/report`, 'outage-over-report'), /It is over/);
    await at(WIDE, async (page) => {
      await page.goto('/');
      assert.doesNotMatch(await page.locator('body').innerText(), /Outage, day/);
    });
  });
});
