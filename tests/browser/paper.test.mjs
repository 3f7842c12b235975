// Every sheet printed: how many there are, that each stays inside 180 by 250 mm on A4 and on Letter, that no letter on it
// is under ten points, and that its words can be read back from the PDF. Then a filled log sheet is typed in, as a person
// would, without script. KEEPWELL_SCREENS names a folder for the PDFs and pictures.
//
// Reading back wants pdftotext (Debian's poppler-utils); where it is missing, that part says so and is skipped.

import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { PHONE, WIDE, faultsInEveryLook, press, sidewaysFaults, startHouse, visit } from './harness.mjs';

const FOLDER = process.env.KEEPWELL_SCREENS;
const JSQR = readFileSync(createRequire(import.meta.url).resolve('jsqr/dist/jsQR.js'), 'utf8');
const MM = 96 / 25.4; // CSS pixels
const POINTS_A_MM = 72 / 25.4;
const WIDEST = 180;
const TALLEST = 250;

const house = await startHouse();
const scratch = mkdtempSync(join(tmpdir(), 'keepwell-paper-'));
after(async () => {
  rmSync(scratch, { recursive: true, force: true });
  await house.stop();
});

async function at(settings, deed) {
  const window = await house.reader(settings);
  try {
    return await deed(window.page, window);
  } finally {
    await window.close();
  }
}

/** The first link on the page of that look, in the row of that site where one is named. */
async function linkOf(page, look, site) {
  await page.goto('/paper');
  const within = site ? page.locator('tr', { hasText: site }) : page.locator('main');
  const links = await within.locator('a[href]').evaluateAll((all) => all.map((a) => a.getAttribute('href')));
  const link = links.find((href) => look.test(href));
  assert.ok(link, `no link like ${look} among ${links.join(' ')}`);
  return link;
}

const hasPdfToText = spawnSync('pdftotext', ['-v']).status === 0;

/** Words with their places, millimetres from the edges of the sheet. */
function wordsOf(path) {
  const { stdout, status, stderr } = spawnSync('pdftotext', ['-bbox', path, '-'], { encoding: 'utf8', maxBuffer: 1 << 26 });
  assert.equal(status, 0, stderr);
  return stdout.split('<page ').slice(1).map((page) => {
    const words = [...page.matchAll(/<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)<\/word>/g)];
    const size = page.match(/width="([\d.]+)" height="([\d.]+)"/);
    const mm = (points) => Number(points) / POINTS_A_MM;
    return {
      width: mm(size[1]),
      height: mm(size[2]),
      words: words.map(([, left, top, right, bottom, word]) => ({ left: mm(left), top: mm(top), right: mm(right), bottom: mm(bottom), word })),
    };
  });
}

/** Prints the page on both papers; complains of what sticks out; answers with its words. */
async function printed(t, page, name, sheets) {
  await page.emulateMedia({ media: 'print' });
  // the paper of the page: its boxes as print lays them out
  const boxes = await page.locator('.page').evaluateAll((all) =>
    all.map((sheet) => {
      const box = sheet.getBoundingClientRect();
      const out = [...sheet.querySelectorAll('*')].filter((part) => {
        if (part.closest('.vh') || part.closest('defs')) return false;
        const inner = part.getBoundingClientRect();
        return inner.width > 0 && (inner.right > box.right + 0.6 || inner.bottom > box.bottom + 0.6 || inner.left < box.left - 0.6);
      });
      return {
        width: box.width,
        height: box.height,
        out: out.slice(0, 4).map((part) => `${part.tagName} ${part.getAttribute('class') ?? ''} ${part.textContent.slice(0, 30)}`),
      };
    }),
  );
  assert.equal(boxes.length, sheets, `${name}: so many sheets are laid out`);
  for (const [number, box] of boxes.entries()) {
    assert.ok(box.width <= WIDEST * MM + 0.5 && box.height <= TALLEST * MM + 0.5, `${name} ${number + 1}: ${box.width / MM} by ${box.height / MM} mm`);
    assert.deepEqual(box.out, [], `${name} ${number + 1}: parts stick out of the sheet`);
  }
  const over = await page.locator('.label').evaluateAll((all) =>
    all.flatMap((label) => {
      const bottom = (look) => Math.max(...[...label.querySelectorAll(look)].map((part) => part.getBoundingClientRect().bottom));
      const foot = label.querySelector('.l3').getBoundingClientRect();
      const over = bottom('.l2 svg, .l2 table') > foot.top || foot.bottom > label.getBoundingClientRect().bottom;
      return over ? [label.innerText.slice(0, 60)] : [];
    }),
  );
  assert.deepEqual(over, [], `${name}: labels whose parts lie over one another`);
  const small = await page.locator('.page *').evaluateAll((all) => {
    const told = new Set();
    for (const part of all) {
      const own = [...part.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
      if (!own || part.closest('.vh') || ['title', 'desc', 'TITLE'].includes(part.tagName)) continue;
      const svg = part.ownerSVGElement;
      const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
      const points = parseFloat(getComputedStyle(part).fontSize) * scale * 0.75;
      if (points < 9.99) told.add(`${points.toFixed(2)} pt: ${part.textContent.trim().slice(0, 30)}`);
    }
    return [...told];
  });
  assert.deepEqual(small, [], `${name}: letters under ten points`);
  let text = '';
  for (const format of ['A4', 'Letter']) {
    const path = join(FOLDER ?? scratch, `${name}-${format}.pdf`);
    const pdf = await page.pdf({ format, printBackground: false, preferCSSPageSize: true, path });
    const count = (pdf.toString('latin1').match(/\/Type\s*\/Page(?![a-zA-Z])/g) ?? []).length;
    assert.equal(count, sheets, `${name} on ${format}: sheets printed`);
    if (!hasPdfToText) {
      t.diagnostic('pdftotext is not on this machine: the words were not read back');
      continue;
    }
    for (const [number, sheet] of wordsOf(path).entries()) {
      assert.ok(sheet.words.length > 10, `${name} ${number + 1}: hardly a word`);
      const edge = (of, pick, way) => way(...sheet.words.map(pick));
      const wide = edge(sheet, (word) => word.right, Math.max) - edge(sheet, (word) => word.left, Math.min);
      const tall = edge(sheet, (word) => word.bottom, Math.max) - edge(sheet, (word) => word.top, Math.min);
      assert.ok(wide <= WIDEST && tall <= TALLEST, `${name} ${number + 1} on ${format}: words over ${wide} by ${tall} mm`);
      text += ` ${sheet.words.map(({ word }) => word).join(' ')}`;
    }
  }
  await page.emulateMedia({ media: null });
  return text;
}

const reads = (text, ...words) => {
  if (!hasPdfToText) return;
  for (const word of words) assert.match(text, word);
};

test('labels, two to a sheet, their codes large enough and with a quiet zone', async (t) => {
  await at({}, async (page) => {
    await page.goto(await linkOf(page, /^\/paper\/labels\//, 'Alder Reach Hall'));
    const many = await page.locator('.label').count();
    const text = await printed(t, page, 'labels', Math.ceil(many / 2));
    reads(text, /East/, /4,988/, /Never enter a tank/, /cut here/, /EAST [0-9A-HJKMNP-TV-Z]{3}/);
    await page.emulateMedia({ media: 'print' });
    const codes = await page.locator('.qr svg').evaluateAll((all) =>
      all.map((svg) => ({ side: svg.getBoundingClientRect().width, modules: svg.viewBox.baseVal.width, path: svg.querySelector('path').getAttribute('d') })),
    );
    for (const { side, modules, path } of codes) {
      const code = ((side / MM) * (modules - 8)) / modules;
      assert.ok(code >= 25, `the code is ${code} mm across`);
      assert.ok([...path.matchAll(/M(\d+),(\d+)/g)].every(([, x, y]) => +x >= 4 && +y >= 4), 'four light modules left and above');
    }
  });
});

test('a code is read by a decoder that is not ours, and opens the log of its vessel', async () => {
  await at({}, async (page) => {
    await page.goto(await linkOf(page, /^\/paper\/labels\//, 'Alder Reach Hall'));
    await page.evaluate(JSQR); // by the debugger, so the page's own policy stays as it is
    const read = await page.locator('.qr svg').evaluateAll((all) =>
      Promise.all(
        all.map(async (svg) => {
          // drawn from its modules, four pixels each: what a camera would see of the paper
          const size = svg.viewBox.baseVal.width;
          const canvas = document.createElement('canvas');
          canvas.width = canvas.height = size * 4;
          const pen = canvas.getContext('2d');
          pen.fillStyle = '#fff';
          pen.fillRect(0, 0, size * 4, size * 4);
          pen.scale(4, 4);
          pen.fillStyle = '#000';
          pen.fill(new Path2D(svg.querySelector('path').getAttribute('d')));
          const { data } = pen.getImageData(0, 0, size * 4, size * 4);
          return globalThis.jsQR(data, size * 4, size * 4)?.data;
        }),
      ),
    );
    assert.ok(read.length > 0);
    const here = new URL(page.url()).origin;
    for (const address of read) {
      assert.match(address ?? 'nothing was read', new RegExp(`^${here}/log/vessels/[0-9a-f-]{36}$`));
      await page.goto(address);
      assert.match(await page.locator('main').innerText(), /What happened\?/);
    }
  });
});

test('a dip table, a log sheet and the status', async (t) => {
  await at({}, async (page) => {
    const dip = await linkOf(page, /^\/paper\/dip\//, 'Alder Reach Hall');
    await page.goto(`${dip}?step=5`);
    reads(await printed(t, page, 'dip', 1), /Dip table/, /floor/, /give or take/, /sheet 1 of 1/);
    await page.goto(`${dip}?step=1`);
    const many = await page.locator('.page').count();
    assert.ok(many > 1, 'a line every centimetre takes several sheets');
    reads(await printed(t, page, 'dip-fine', many), new RegExp(`sheet ${many} of ${many}`));
    for (const site of ['Alder Reach Hall', 'Birch Court']) {
      await page.goto(await linkOf(page, /^\/paper\/sheets\/[^/]+$/, site));
      reads(await printed(t, page, `sheet-${site.split(' ')[0]}`, 1), /Log sheet/, /dosed with chlorine/, /typed in/, /Never enter a tank/);
    }
    await page.goto('/paper/status');
    reads(await printed(t, page, 'status', 1), /As of/, /All water pooled/, /upper bound/, /What needs doing/);
  });
});

test('in US units nothing sticks out either', async (t) => {
  await at({}, async (page) => {
    await page.goto('/');
    await press(page.getByRole('button', { name: 'US gallons, feet' }));
    const labels = await linkOf(page, /^\/paper\/labels\//, 'Alder Reach Hall');
    await page.goto(labels);
    reads(await printed(t, page, 'us-labels', Math.ceil((await page.locator('.label').count()) / 2)), /1 in is/);
    await page.goto(await linkOf(page, /^\/paper\/sheets\/[^/]+$/, 'Alder Reach Hall'));
    reads(await printed(t, page, 'us-sheet', 1), /US gal/);
    await page.goto('/paper/status');
    reads(await printed(t, page, 'us-status', 1), /US gal/);
  });
});

test('every label of every site fits its sheet', async (t) => {
  await at({}, async (page) => {
    await page.goto('/paper');
    const links = await page.locator('a[href^="/paper/labels/"]').evaluateAll((all) => all.map((a) => a.getAttribute('href')));
    for (const [number, link] of links.entries()) {
      await page.goto(link);
      await printed(t, page, `all-labels-${number}`, Math.ceil((await page.locator('.label').count()) / 2));
    }
  });
});

test('a filled sheet is typed in on a phone, without script, and what is wrong is told by row', async () => {
  await at({ viewport: PHONE, script: false }, async (page) => {
    await page.goto(await linkOf(page, /^\/paper\/sheets\/[^/]+\/type-in$/, 'Alder Reach Hall'));
    const fill = async (row, cells) => {
      for (const [column, value] of Object.entries(cells)) await page.locator(`[name="${column}.${row}"]`).fill(value);
    };
    await fill(0, { date: 'yesterday', time: '07:40', vessel: 'E', what: 'R', depth: '100', who: 'Tom' });
    await fill(1, { time: '18:15', vessel: 'E', what: 'D', litres: 'twenty' });
    await press(page.getByRole('button', { name: 'More rows' }));
    assert.equal(await page.locator('[name="litres.1"]').inputValue(), 'twenty');
    assert.equal(await page.locator('[name="note.19"]').count(), 1);
    await press(page.getByRole('button', { name: 'Log these rows' }));
    const words = await page.locator('main').innerText();
    assert.match(words, /Row 2, amount/);
    assert.match(words, /“twenty” is not a number/);
    assert.equal(await page.locator('[name="litres.1"]').getAttribute('aria-invalid'), 'true');
    await fill(1, { litres: '20' });
    await press(page.getByRole('button', { name: 'Log these rows' }));
    assert.match(await page.locator('main').innerText(), /2 rows logged/);
  });
});

test('the grid with its errors, and what was logged, hold up in every look', async () => {
  for (const viewport of [WIDE, PHONE]) {
    await at({ viewport }, async (page, window) => {
      await visit(window, await linkOf(page, /^\/paper\/sheets\/[^/]+\/type-in$/, 'Alder Reach Hall'));
      await page.locator('[name="what.0"]').fill('Z');
      await press(page.getByRole('button', { name: 'Log these rows' }));
      const found = [...(await faultsInEveryLook(window)), ...(await sidewaysFaults(page))];
      // the browser's own line about the answer that was wanted
      const faults = found.filter((text) => !text.includes('status of 422'));
      if (faults.length > 0) assert.fail(`${viewport.width}:\n${faults.join('\n')}`);
      if (FOLDER) await page.screenshot({ path: join(FOLDER, `grid-wrong-${viewport.width}.png`), fullPage: true });
    });
  }
});

test('the code from a label leads to its vessel', async () => {
  await at({ viewport: PHONE, script: false }, async (page) => {
    await page.goto(await linkOf(page, /^\/paper\/labels\//, 'Alder Reach Hall'));
    const [code] = (await page.locator('.label').first().innerText()).match(/[A-Z]+ [0-9A-HJKMNP-TV-Z]{3}(?=\.)/);
    await page.goto('/log');
    await page.getByLabel('Code from a label').fill(code.toLowerCase().replace(' ', ''));
    await press(page.getByRole('button', { name: 'Find it' }));
    assert.match(new URL(page.url()).pathname, /^\/log\/vessels\//);
    await page.goto('/log');
    await page.getByLabel('Code from a label').fill('NOBODY 000');
    await press(page.getByRole('button', { name: 'Find it' }));
    assert.match(await page.locator('main').innerText(), /is the code of no vessel/);
    assert.equal(await page.getByLabel('Code from a label').inputValue(), 'NOBODY 000');
  });
});
