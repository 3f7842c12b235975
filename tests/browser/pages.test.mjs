// Each page of addresses.mjs, looked at in every way that holds for all pages.

import assert from 'node:assert/strict';
import { after, describe, test } from 'node:test';
import { PAGES, findAddresses } from './addresses.mjs';
import { NARROWEST, PHONE, WIDE, faultsInEveryLook, printed, sidewaysFaults, startHouse, visit } from './harness.mjs';

const MOST_SHEETS = 4;
const HEAVIEST = 60_000; // bytes over the wire, fonts included, for the demonstration neighbourhood

// Awaited before any test is named: where the program does not start, that is said once and not once a page.
const house = await startHouse();
after(() => house.stop());
const scout = await house.reader();
const addresses = await findAddresses(scout).catch(async (error) => {
  await house.stop();
  throw error;
});
await scout.close();

/** Opens the page as the one who meets it, hands over the window, and closes it. */
async function looking(name, settings, look) {
  const { path, visitor, status } = addresses.get(name);
  const window = await (visitor ? house.visitor : house.reader)(settings);
  try {
    await visit(window, path, status);
    await look(window);
  } finally {
    await window.close();
  }
}

function none(faults) {
  if (faults.length > 0) assert.fail(faults.join('\n'));
}

const each = (faults, where) => faults.map((fault) => `${where}: ${fault}`);

for (const { name, pages = MOST_SHEETS } of PAGES) {
  describe(name, () => {
    for (const [size, viewport] of Object.entries({ wide: WIDE, phone: PHONE })) {
      test(`${size}: accessible in every look, asks no other host, says nothing on the console`, async () => {
        await looking(name, { viewport }, async (window) => none(await faultsInEveryLook(window)));
      });
    }

    test('never scrolls sideways, from 320 to 1600 px', async () => {
      const faults = [];
      for (const viewport of [NARROWEST, PHONE, { width: 768, height: 1024 }, WIDE, { width: 1600, height: 1000 }]) {
        await looking(name, { viewport }, async ({ page }) => faults.push(...(await sidewaysFaults(page))));
      }
      none(faults);
    });

    test(`weighs less than ${HEAVIEST / 1000} kB`, async () => {
      await looking(name, {}, async (window) => {
        const bytes = await window.weight();
        assert.ok(bytes > 0 && bytes < HEAVIEST, `it weighs ${bytes} bytes`);
      });
    });

    test('stands without script', async () => {
      await looking(name, { viewport: PHONE, script: false }, async ({ page, errors }) => {
        const heading = page.locator('main h1, h1').first();
        assert.ok(await heading.isVisible(), 'its heading is not seen');
        const text = (await page.locator('main').innerText()).trim();
        assert.ok(text.length > 40, `its main part says only: ${text}`);
        none(each(errors, 'on the console'));
      });
    });

    test(`prints on at most ${pages} sheets`, async () => {
      await looking(name, {}, async ({ page }) => {
        const sheets = (await printed(page)).pages;
        assert.ok(sheets >= 1 && sheets <= pages, `it takes ${sheets} sheets`);
      });
    });
  });
}
