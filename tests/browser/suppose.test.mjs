// What is supposed is answered as it is typed, around a form that stays under the hands of whoever types; without script the
// button asks the same.

import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { PHONE, WIDE, startHouse } from './harness.mjs';

const house = await startHouse();
after(() => house.stop());

/** Opens a window, does something in it, and closes it. */
async function at(viewport, address, deed, script = true) {
  const window = await house.reader({ viewport, script });
  try {
    await window.page.goto(address);
    await window.page.locator('#what-if summary').first().click();
    await deed(window.page, window);
  } finally {
    await window.close();
  }
}

const pooled = (page) => page.locator('.figs').innerText();

for (const [address, name] of [['/', 'today'], ['/forecast', 'the forecast']]) {
  test(`${name} answers while it is typed, and the hands stay where they are`, async () => {
    await at(PHONE, address, async (page) => {
      const before = await page.locator('main').innerText();
      const heat = page.locator('[name="heat"]');
      await heat.pressSequentially('12');
      await page.getByText('Supposed, not so.').waitFor();
      assert.notEqual(await page.locator('main').innerText(), before);
      assert.match(page.url(), /[?&]heat=12(&|#|$)/);
      assert.equal(await heat.inputValue(), '12');
      assert.equal(await heat.evaluate((field) => field === document.activeElement), true, 'typing goes on');
      // What does not hold is told, and the answer before stays.
      await heat.press('Home');
      await heat.pressSequentially('-');
      await page.locator('#what-if [role="status"]', { hasText: 'allowed is' }).waitFor();
      assert.match(page.url(), /[?&]heat=12(&|#|$)/);
      assert.equal(await page.getByText('Supposed, not so.').count(), 1);
      // Left empty, it is the present again.
      await heat.fill('');
      await page.getByText('Supposed, not so.').waitFor({ state: 'detached' });
      assert.equal(await page.locator('#what-if [role="status"]').innerText(), '');
    });
  });
}

test('the same question by the button, without script, has the same answer', async () => {
  let typed = '';
  await at(WIDE, '/', async (page) => {
    await page.locator('[name="heat"]').fill('3');
    await page.getByText('Supposed, not so.').waitFor();
    typed = await pooled(page);
  });
  await at(WIDE, '/', async (page) => {
    await page.locator('[name="heat"]').fill('3');
    await page.getByRole('button', { name: 'Suppose it' }).click();
    await page.getByText('Supposed, not so.').waitFor();
    assert.equal(await pooled(page), typed);
  }, false);
});
