// Every page there is. A new page is one line here, and is then looked at in every way that pages.test.mjs knows and
// drawn by screens.mjs.
//
//   name     what the tests call it
//   path     its address; or, where the address holds an id,
//   from     the page that links to it, and
//   link     what the address looks like
//   text     what the link says, where that matters
//   visitor  true for a page that is met signed out
//   status   what it answers, if not 200
//   pages    the most sheets of A4 it may print on, if not 4

const ID = '[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}';

export const PAGES = [
  { name: 'today', path: '/', pages: 7 },
  { name: 'sites', path: '/sites' },
  { name: 'site', from: '/sites', link: new RegExp(`^/sites/${ID}$`), pages: 7 },
  { name: 'vessel', from: 'site', link: new RegExp(`^/vessels/${ID}$`) },
  { name: 'site-working', from: 'site', link: new RegExp(`^/sites/${ID}/working$`) },
  { name: 'site-battery', from: '/sites', link: new RegExp(`^/sites/${ID}$`), text: 'Ferry House', pages: 7 },
  { name: 'battery-working', from: 'site-battery', link: new RegExp(`^/sites/${ID}/working\\?of=battery$`), pages: 6 },
  { name: 'tap-working', from: 'site', link: new RegExp(`^/sites/${ID}/working\\?of=tap$`), pages: 6 },
  { name: 'site-7-22', from: 'site', link: new RegExp(`^/sites/${ID}\\?edition=7-22$`), pages: 7 },
  { name: 'structure-working', from: 'site', link: new RegExp(`^/sites/${ID}/working\\?of=structure&vessel=${ID}$`), pages: 8 },
  { name: 'vessel-working', from: 'vessel', link: new RegExp(`^/vessels/${ID}/working$`), pages: 6 },
  { name: 'vessel-dose', from: 'vessel', link: new RegExp(`^/vessels/${ID}/dose$`) },
  { name: 'entry', from: 'vessel', link: new RegExp(`^/entries/${ID}$`) },
  { name: 'pooled-working', path: '/working/pooled' },
  { name: 'need-working', path: '/working/need' },
  { name: 'log', path: '/log' },
  { name: 'log-vessel', from: 'vessel', link: new RegExp(`^/log/vessels/${ID}$`) },
  { name: 'log-fill', from: 'log-vessel', link: new RegExp(`^/log/vessels/${ID}/fill$`) },
  { name: 'log-reading', from: 'log-vessel', link: new RegExp(`^/log/vessels/${ID}/reading$`) },
  { name: 'carries', path: '/carries' },
  { name: 'what-if', path: '/?heat=3&frost=yes&treated=yes', pages: 7 },
  { name: 'forecast', path: '/forecast' },
  { name: 'forecast-supposed', path: '/forecast?then=lean&after=2&half=3&most=10' },
  { name: 'working-shared', path: '/working/shared' },
  { name: 'upkeep', path: '/upkeep', pages: 8 },
  { name: 'upkeep-rotation', from: 'upkeep', link: new RegExp(`^/upkeep/rotation/${ID}$`) },
  { name: 'upkeep-fuel', from: 'upkeep', link: new RegExp(`^/upkeep/fuel/${ID}$`) },
  { name: 'outage', path: '/outage' },
  { name: 'outage-form', path: '/outage/new' },
  { name: 'paper', path: '/paper', pages: 2 },
  { name: 'paper-status', path: '/paper/status', pages: 1 },
  { name: 'paper-labels', from: 'paper', link: new RegExp(`^/paper/labels/${ID}$`), pages: 2 },
  { name: 'paper-sheet', from: 'paper', link: new RegExp(`^/paper/sheets/${ID}$`), pages: 1 },
  { name: 'paper-grid', from: 'paper', link: new RegExp(`^/paper/sheets/${ID}/type-in$`) },
  { name: 'paper-dip', from: 'paper', link: new RegExp(`^/paper/dip/${ID}$`), pages: 2 },
  { name: 'set-up', path: '/set-up', pages: 12 },
  { name: 'site-form', from: '/set-up', link: new RegExp(`^/set-up/sites/${ID}$`), pages: 6 },
  { name: 'vessel-form', from: 'site-form', link: new RegExp(`^/set-up/vessels/${ID}$`), pages: 6 },
  { name: 'shapes', from: 'site-form', link: new RegExp(`^/set-up/sites/${ID}/vessels/new$`) },
  { name: 'generator-form', from: 'site-form', link: new RegExp(`^/set-up/sites/${ID}/generators/new$`) },
  { name: 'battery-form', from: 'site-form', link: new RegExp(`^/set-up/sites/${ID}/batteries/new$`) },
  { name: 'fuel-form', from: 'site-form', link: new RegExp(`^/set-up/sites/${ID}/fuel-stores/new$`) },
  { name: 'pump-form', from: 'site-form', link: new RegExp(`^/set-up/sites/${ID}/pumps/new$`) },
  { name: 'stage-form', from: 'site-form', link: new RegExp(`^/set-up/sites/${ID}/stages/new$`) },
  { name: 'carry-form', path: '/set-up/carries/new' },
  { name: 'neighbourhood-form', path: '/set-up/neighbourhood' },
  { name: 'reckoner', path: '/reckoner' },
  { name: 'reckoner-dose', path: '/reckoner/dose' },
  { name: 'reckoner-vessel', path: '/reckoner/horizontal_cylinder' },
  { name: 'reckoner-pump', path: '/reckoner/pump-duty' },
  { name: 'reckoner-fittings', path: '/reckoner/fittings' },
  { name: 'reckoner-earthquake', path: '/reckoner/earthquake' },
  { name: 'reckoner-train', path: '/reckoner/treatment-train?flow_l_min=10&stage_1=chlorine&stage_2=carbon', pages: 6 },
  { name: 'reckoner-loads', path: '/reckoner/generator-loads?load_2_w=150&start_2_w=600' },
  { name: 'reckoner-demand', path: '/reckoner/demand' },
  { name: 'reckoner-site', path: '/reckoner/site?fuel_l=12' },
  { name: 'reckoner-refused', path: '/reckoner/dose?litres=-1&free_mg_l=lots', status: 422 },
  { name: 'record', path: '/changes', pages: 8 },
  { name: 'change', from: '/changes', link: /^\/changes\/[0-9]+$/ },
  { name: 'data', path: '/data' },
  { name: 'verify', path: '/data/verify' },
  { name: 'sign-in', path: '/sign-in', visitor: true },
  { name: 'people', path: '/people' },
  { name: 'person', from: '/people', link: new RegExp(`^/people/${ID}$`) },
  { name: 'new-person', path: '/people/new' },
  { name: 'me', path: '/people/me' },
  { name: 'tokens', path: '/tokens' },
  { name: 'api', path: '/api', pages: 16 },
  { name: 'problems', path: '/problems' },
  { name: 'problem', path: '/problems/invalid' },
  { name: 'not-found', path: '/no-such-page', status: 404 },
];

/** The list with every address known: ids are found by following links, as a reader would. */
export async function findAddresses(window) {
  const found = new Map();
  for (const page of PAGES) {
    if (page.path) {
      found.set(page.name, { ...page });
      continue;
    }
    const from = found.get(page.from)?.path ?? page.from;
    await window.page.goto(from);
    const anchors = window.page.locator('a[href]', page.text ? { hasText: page.text } : {});
    const links = await anchors.evaluateAll((all) =>
      all.map((a) => new URL(a.href)).flatMap((url) => [url.pathname, url.pathname + url.search]));
    const path = links.find((link) => page.link.test(link));
    if (!path) throw new Error(`${page.name}: no link on ${from} looks like ${page.link}; it has ${links.join(' ')}`);
    found.set(page.name, { ...page, path });
  }
  return found;
}
