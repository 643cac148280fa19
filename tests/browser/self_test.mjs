// Shows that the rules can fail: each damage to a good report must be found by the rule named with
// it. `node self_test.mjs [report.html]`. Exit code 1 when a damage goes unseen.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { launch } from './browser.mjs';
import { RULES, complaintsAbout } from './rules.mjs';

const sample = fileURLToPath(new URL('../../reports/sample/report.html', import.meta.url));
const good = readFileSync(resolve(process.argv[2] ?? sample), 'utf8');

/** `text` with the first `from` replaced; a damage that damages nothing is a mistake here. */
function changed(text, from, to) {
  const after = text.replace(from, () => to);
  if (after === text) throw new Error(`nothing to damage: ${from}`);
  return after;
}

const swap = (from, to) => (html) => changed(html, from, to);
const style = (rule) => swap('</style>', `${rule}</style>`);
const add = (markup) => swap('</main>', `${markup}</main>`);

/** Rule, what its complaint says, and the damage. */
const DAMAGES = [
  ['the file', /not below/, (html) => html + ' '.repeat(2_000_000)],
  ['the document', /policy is not/, swap("default-src 'none'", "default-src 'self'")],
  ['the document', /lets something in/, swap('img-src data:', 'img-src https://example.org')],
  ['the document', /a script/, add('<script type="text/plain">x</script>')],
  ['the document', /script in onclick/, add('<p onclick="x()">x</p>')],
  ['the document', /asks for/, (html) => add('<img alt="x" src="https://example.org/x.png">')(
    changed(html, 'img-src data:', 'img-src data: https:'))],
  ['the document', /console says/, add('<img alt="x" src="https://example.org/x.png">')],
  ['the document', /leads nowhere/, add('<a href="#nothing">x</a>')],
  ['the document', /leaves the page/, add('<a href="https://example.org">x</a>')],
  ['the document', /called #summary/, add('<p id="summary">x</p>')],
  ['the document', /no link leads to #time/, (html) => html.replaceAll('href="#time"', 'href="#summary"')],
  ['the document', /first rank/, add('<h1>x</h1>')],
  ['the document', /no caption/, add('<table><tr><td>x</td></tr></table>')],
  ['the document', /no scope/, swap('<th scope="col"', '<th')],
  ['the document', /language/, swap(' lang="en"', '')],
  ['without script', /next to nothing/, swap('<main', '<main hidden')],
  ['charts', /no name/, swap(/(<svg[^>]*?) aria-label="[^"]*"/, '<svg role=img')],
  ['charts', /no size/, style('figure svg { width: 0 !important; min-width: 0 !important; }')],
  ['charts', /0 charts/, swap(/<svg.*?<\/svg>/s, '')],
  ['charts', /an image has no name/, add('<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">')],
  ['charts', /leaves a chart/, swap('</text>', `${'wide '.repeat(80)}</text>`)],
  ['contrast of charts, light', /marks of class/, style(':root { --black: #ddd !important; }')],
  ['contrast of charts, dark', /" *: rgb/, style('.chart text { fill: #555 !important; }')],
  ['size of text', /px in figcaption/, style('figcaption { font-size: 11px !important; }')],
  ['size of text', /px in text/, style('.chart svg { min-width: 0 !important; }')],
  ['narrow screens', /scrolls sideways/, add('<p style="width: 400px">x</p>')],
  ['narrow screens', /not for a keyboard/, (html) => html.replaceAll('tabindex="0"', '')],
  ['less motion', /moves all the same/, style('a { transition: color 1s; }')],
  ['paper', /wider than the sheet/, style('table { min-width: 900px !important; }')],
  ['paper', /tr may be cut/, style('@media print { tr { break-inside: auto !important; } }')],
  ['paper', /figure may be cut/, style('@media print { figure { break-inside: auto !important; } }')],
  ['paper', /scroll is cut/, style('.scroll { overflow: auto !important; }')],
  ['paper', /not repeated/, style('thead { display: table-row-group !important; }')],
  ['paper', /navigation/, style('nav { display: block !important; }')],
  ['the first page on paper', /takes 2 sheets/, swap('</section>', '<p style="height: 18cm"></p></section>')],
  ['accessibility, light', /color-contrast/, style('p { color: #999 !important; }')],
  ['accessibility, dark', /color-contrast/, style('p { color: #444 !important; }')],
  ['accessibility, light', /image-alt/, add('<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">')],
  ['accessibility, light', /heading-order/, add('<h5>x</h5>')],
  ['accessibility, phone', /target-size/, style('nav li, nav a { font-size: 6px !important; line-height: 1 !important; padding: 0 !important; margin: 0 !important; min-height: 0 !important; display: inline !important; }')],
];

/** The report with two sections alone, for the rule that takes half a minute over the whole. */
function short(html) {
  const [start, end] = [html.indexOf('<section', html.indexOf('id="parts"') - 20), html.indexOf('</main>')];
  return html.slice(0, start) + html.slice(end);
}

const folder = mkdtempSync(join(tmpdir(), 'report-'));
const path = join(folder, 'report.html');
const browser = await launch();
let missed = 0;
try {
  const named = new Map(RULES);
  // What each rule says without any damage, which cannot show that it saw one.
  const sound = new Map();
  for (const [name, words, damage] of DAMAGES) {
    const html = name.startsWith('accessibility') ? short(good) : good;
    writeFileSync(path, damage(html));
    const rule = [name, named.get(name)];
    const complaints = await complaintsAbout(browser, path, [rule]);
    if (!sound.has(name)) {
      writeFileSync(path, html);
      sound.set(name, await complaintsAbout(browser, path, [rule]));
    }
    const says = (complaint) => words.test(complaint);
    const isSeen = complaints.some(says) && !sound.get(name).some(says);
    missed += isSeen ? 0 : 1;
    console.log(`${isSeen ? 'seen' : 'MISS'} ${name}: ${words}`);
    if (!isSeen) complaints.slice(0, 5).forEach((complaint) => console.log(`     ${complaint}`));
  }
} finally {
  await browser.close();
  rmSync(folder, { recursive: true });
}
console.log(`${DAMAGES.length - missed} passed, ${missed} failed`);
process.exitCode = missed === 0 ? 0 : 1;
