// What every browser test stands on: the real binary with the demonstration neighbourhood on a free port, Debian's
// Chromium, and ways to look at a page as a person, an auditor and a printer would.
//
//   KEEPWELL_BIN       the program; by default debug/keepwell in the target folder
//   KEEPWELL_CHROMIUM  the browser; by default the first of Debian's names for it

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const AXE_TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

export const WIDE = { width: 1300, height: 900 };
export const PHONE = { width: 360, height: 740 };
export const NARROWEST = { width: 320, height: 640 };

/** The looks a page must hold up in. */
export const LOOKS = {
  light: { colorScheme: 'light', contrast: 'no-preference' },
  dark: { colorScheme: 'dark', contrast: 'no-preference' },
  contrast: { colorScheme: 'light', contrast: 'more' },
  'dark contrast': { colorScheme: 'dark', contrast: 'more' },
};

// --- the program -------------------------------------------------------------------------------------------------

/**
 * Starts `keepwell serve --demo` in a throw-away folder. Its first line on stdout is the address; below it stands the
 * one-time link that signs the coordinator in.
 *
 * @returns {Promise<{origin: string, signIn: string, stop: () => Promise<void>}>}
 */
export async function startKeepwell({ args = ['--demo'], patience = 120_000 } = {}) {
  const target = resolve(ROOT, process.env.CARGO_TARGET_DIR ?? 'target');
  const binary = process.env.KEEPWELL_BIN ?? join(target, 'debug/keepwell');
  assert.ok(existsSync(binary), `no program at ${binary}: run cargo build, or set KEEPWELL_BIN`);
  const folder = mkdtempSync(join(tmpdir(), 'keepwell-browser-'));
  const child = spawn(binary, ['serve', ...args, '--port', '0', '--data', folder], {
    cwd: folder,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const said = [];
  child.stderr.on('data', (text) => said.push(String(text)));
  const gone = new Promise((done) => child.once('close', (code, signal) => done({ code, signal })));
  const clear = () => rmSync(folder, { recursive: true, force: true });

  /** Ends it as a service manager would, and insists that it ends well. */
  async function stop() {
    child.kill('SIGTERM');
    const late = setTimeout(() => child.kill('SIGKILL'), 20_000);
    const { code, signal } = await gone;
    clearTimeout(late);
    clear();
    assert.equal(code, 0, `a stop by SIGTERM must be clean: code ${code}, signal ${signal}\n${said.join('')}`);
  }

  const late = setTimeout(() => child.kill('SIGKILL'), patience);
  try {
    const { origin, signIn } = await readAddresses(child.stdout, said);
    clearTimeout(late);
    return { origin, signIn, stop };
  } catch (error) {
    child.kill('SIGKILL');
    await gone;
    clearTimeout(late);
    clear();
    throw error;
  }
}

async function readAddresses(stdout, said) {
  const lines = [];
  let origin;
  // Reading must go on after the links were found: a full pipe would stop the program.
  return new Promise((found, failed) => {
    const reader = createInterface({ input: stdout });
    reader.on('line', (line) => {
      lines.push(line);
      for (const [text] of line.matchAll(/https?:\/\/[^\s"'<>]+/g)) {
        const url = new URL(text);
        if (!origin) origin = url.origin;
        else if (url.origin === origin && url.pathname !== '/') found({ origin, signIn: url.href });
      }
    });
    reader.on('close', () => {
      const told = `stdout:\n${lines.join('\n')}\nstderr:\n${said.join('')}`;
      failed(new Error(`the program named no ${origin ? 'one-time link' : 'address'} before it ended\n${told}`));
    });
  });
}

// --- the browser -------------------------------------------------------------------------------------------------

export async function startChromium() {
  const names = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];
  const executablePath = process.env.KEEPWELL_CHROMIUM || names.find(existsSync);
  assert.ok(executablePath, "no Chromium: install Debian's package 'chromium', or set KEEPWELL_CHROMIUM");
  const asRoot = process.getuid?.() === 0;
  return chromium.launch({
    executablePath,
    headless: true,
    chromiumSandbox: !asRoot, // as root, Chromium starts only without its sandbox
    args: [
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      // Chromium's own calls home would be refused here, and would drown the ones that a page makes.
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
}

/**
 * A program, a browser and a signed-in coordinator, for a whole test file.
 * `visitor()` is a window of somebody else; `reader({...})` one of the signed-in coordinator.
 */
export async function startHouse(options) {
  const keepwell = await startKeepwell(options);
  let browser;
  try {
    browser = await startChromium();
    const first = await browser.newContext();
    const page = await first.newPage();
    const answer = await page.goto(keepwell.signIn);
    assert.ok(answer.ok(), `the one-time link answered ${answer.status()}`);
    // A link that a messenger may have opened beforehand asks for a press before it is spent; both forms are taken.
    const press = page.locator('main form button');
    if ((await first.cookies()).length === 0 && (await press.count()) > 0) await press.first().click();
    const signedIn = await first.storageState();
    assert.ok(signedIn.cookies.length > 0, 'the one-time link left no session cookie');
    await first.close();
    const open = (storageState) => (settings = {}) => openWindow(browser, keepwell.origin, { storageState, ...settings });
    return {
      origin: keepwell.origin,
      reader: open(signedIn),
      visitor: open(undefined),
      async stop() {
        await browser.close();
        await keepwell.stop();
      },
    };
  } catch (error) {
    await browser?.close();
    await keepwell.stop().catch(() => {});
    throw error;
  }
}

/**
 * A window that keeps a record of what went on in it: `requests` to other hosts and `errors` on the console, refusals
 * by the content security policy and uncaught exceptions among them. `weight()` is the bytes that came so far.
 */
async function openWindow(browser, origin, { look = 'light', viewport = WIDE, script = true, ...rest }) {
  const context = await browser.newContext({
    ...LOOKS[look],
    viewport,
    javaScriptEnabled: script,
    baseURL: origin,
    reducedMotion: 'reduce', // a colour half way through a transition is no colour of ours
    ...rest,
  });
  const page = await context.newPage();
  const window = { page, requests: [], errors: [], close: () => context.close() };
  context.on('request', (request) => {
    const url = new URL(request.url());
    if (/^(https?|wss?):$/.test(url.protocol) && url.origin !== origin) window.requests.push(url.href);
  });
  // Sizes are asked for when they are wanted: an answer still on its way when its window closes would fail a test that
  // never asked.
  const finished = [];
  context.on('requestfinished', (request) => finished.push(request));
  window.weight = async () => {
    const sizes = await Promise.all(finished.map((request) => request.sizes()));
    return sizes.reduce((sum, { responseBodySize }) => sum + responseBodySize, 0);
  };
  page.on('console', (message) => {
    if (message.type() === 'error') window.errors.push(message.text());
  });
  page.on('pageerror', (error) => window.errors.push(`uncaught: ${error.message}`));
  window.as = (name) => page.emulateMedia({ ...LOOKS[name], reducedMotion: 'reduce' });
  return window;
}

// --- what is looked at -------------------------------------------------------------------------------------------

/** What axe finds against WCAG 2.2 AA, each as one readable paragraph. Empty is good. */
export async function accessibilityFaults(page) {
  await page.evaluate(AXE); // evaluated by the debugger, so the page's own policy stays as it is
  const { violations } = await page.evaluate(
    (tags) =>
      globalThis.axe.run(document, {
        runOnly: { type: 'tag', values: tags },
        rules: { 'target-size': { enabled: true } },
        resultTypes: ['violations'],
      }),
    AXE_TAGS,
  );
  return violations.map(({ id, help, nodes }) => {
    const where = nodes.slice(0, 5).map(({ target, failureSummary }) => `  ${target.join(' ')}\n    ${failureSummary}`);
    return `${id}: ${help} (${nodes.length} places)\n${where.join('\n')}`;
  });
}

/** Everything that must be empty of the page a window shows, in every look. */
export async function faultsInEveryLook(window) {
  const faults = [];
  const each = (found, where) => faults.push(...found.map((fault) => `${where}: ${fault}`));
  for (const look of Object.keys(LOOKS)) {
    await window.as(look);
    each(await accessibilityFaults(window.page), look);
  }
  each(window.requests, 'asked another host');
  each(window.errors, 'on the console');
  return faults;
}

/** What sticks out at the side, if the page can be scrolled sideways. Empty is good. */
export async function sidewaysFaults(page) {
  return page.evaluate(() => {
    const wide = document.documentElement.scrollWidth;
    if (wide <= innerWidth) return [];
    const out = [...document.body.querySelectorAll('*')].filter((e) => e.getBoundingClientRect().right > innerWidth + 1);
    const names = out.slice(0, 5).map((e) => `<${e.tagName.toLowerCase()} class="${e.getAttribute('class') ?? ''}">`);
    return [`the page is ${wide} px wide in a window of ${innerWidth}: ${names.join(', ')}`];
  });
}

/** Prints the page on A4 as its print style says. */
export async function printed(page, path) {
  const pdf = await page.pdf({ format: 'A4', printBackground: true, preferCSSPageSize: true, path });
  return { pdf, pages: (pdf.toString('latin1').match(/\/Type\s*\/Page(?![a-zA-Z])/g) ?? []).length };
}

/** Presses what leads to another page, and waits for it: a click alone may come back before the page has changed. */
export async function press(target) {
  await Promise.all([target.page().waitForEvent('load'), target.click()]);
}

/** Goes to an address and insists on its status; the browser's own line about a wanted error is dropped. */
export async function visit(window, address, status = 200) {
  const answer = await window.page.goto(address, { waitUntil: 'load' });
  assert.equal(answer.status(), status, `${address} answered ${answer.status()}`);
  if (status >= 400) {
    const own = window.errors.findIndex((text) => text.includes(`status of ${status}`));
    if (own >= 0) window.errors.splice(own, 1);
  }
}
