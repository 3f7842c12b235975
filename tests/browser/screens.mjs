// Draws every page for a person to look at; no test. `npm run screens -- FOLDER` (or `node screens.mjs FOLDER [NAME...]`)
// saves each page at 1300 and 360 px, light and dark, and as it prints.

import { mkdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { findAddresses } from './addresses.mjs';
import { PHONE, WIDE, printed, startHouse, visit } from './harness.mjs';

const [folder, ...wanted] = process.argv.slice(2);
if (!folder) {
  console.error('Say where to: node screens.mjs FOLDER [PAGE...]');
  process.exit(2);
}
const out = resolve(folder);
mkdirSync(out, { recursive: true });

const house = await startHouse();
try {
  const scout = await house.reader();
  const addresses = await findAddresses(scout);
  await scout.close();
  for (const { name, path, visitor, status } of addresses.values()) {
    if (wanted.length > 0 && !wanted.includes(name)) continue;
    for (const viewport of [WIDE, PHONE]) {
      const window = await (visitor ? house.visitor : house.reader)({ viewport });
      await visit(window, path, status);
      for (const look of ['light', 'dark']) {
        await window.as(look);
        await window.page.screenshot({ path: join(out, `${name}-${viewport.width}-${look}.png`), fullPage: true });
      }
      if (viewport === WIDE) await printed(window.page, join(out, `${name}-print.pdf`));
      await window.close();
    }
    console.log(`${name}: ${path}`);
  }
} finally {
  await house.stop();
}
