// What a report must keep to in a browser. Each rule opens the page as some reader meets it and
// adds a sentence to `complaints` for whatever is wrong. Nothing here knows a measure.

import { statSync } from 'node:fs';
import axe from 'axe-core';
import { withPage } from './browser.mjs';

/** What one file may weigh. */
const MOST_BYTES = 2_000_000;

/** Text below this many CSS pixels is a strain. */
const SMALLEST_TEXT = 12;

/** Two widths of a small screen: a phone, and 1280 pixels at a zoom of 500 %. */
const NARROW = [320, 256];

/** Sheets of paper less the margins of the print style (13 mm at the sides, 14 mm above and below). */
const SHEETS = [
  { name: 'A4', width: ((210 - 26) / 25.4) * 96 },
  { name: 'Letter', width: ((215.9 - 26) / 25.4) * 96 },
];

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** What of it a narrow screen can change. */
const PHONE_RULES = { type: 'rule', values: ['target-size', 'scrollable-region-focusable'] };

/** Every rule with its name. */
export const RULES = [
  ['the file', theFile],
  ['the document', theDocument],
  ['without script', withoutScript],
  ['charts', charts],
  ['contrast of charts, light', (...given) => contrastOfCharts('light', ...given)],
  ['contrast of charts, dark', (...given) => contrastOfCharts('dark', ...given)],
  ['size of text', sizeOfText],
  ['narrow screens', narrowScreens],
  ['less motion', lessMotion],
  ['paper', paper],
  ['the first page on paper', firstPageOnPaper],
  ['accessibility, light', (...given) => accessibility({ scheme: 'light' }, ...given)],
  ['accessibility, dark', (...given) => accessibility({ scheme: 'dark' }, ...given)],
  ['accessibility, phone', (...given) => accessibility({ width: 320, height: 640 }, ...given, PHONE_RULES)],
];

/** What is wrong with the report at `path`, one sentence each, after the name of the rule. */
export async function complaintsAbout(browser, path, rules = RULES) {
  const all = [];
  for (const [name, rule] of rules) {
    const complaints = [];
    await rule(browser, path, complaints);
    all.push(...[...new Set(complaints)].map((complaint) => `${name}: ${complaint}`));
  }
  return all;
}

async function theFile(_browser, path, complaints) {
  const bytes = statSync(path).size;
  if (bytes >= MOST_BYTES) {
    complaints.push(`${bytes} bytes, which is not below ${MOST_BYTES}`);
  }
}

async function theDocument(browser, path, complaints) {
  const found = await withPage(browser, path, {}, complaints, (page) =>
    page.evaluate(() => {
      const wrong = [];
      const all = (selector) => [...document.querySelectorAll(selector)];
      const policy = all('meta[http-equiv="Content-Security-Policy"]').map((meta) => meta.content);
      const parts = (policy[0] ?? '').split(';').map((part) => part.trim());
      if (policy.length !== 1 || !parts.includes("default-src 'none'")) {
        wrong.push("the policy is not default-src 'none'");
      }
      if (parts.some((part) => /^script-src|^connect-src|https?:|\*/.test(part))) {
        wrong.push('the policy lets something in from elsewhere, or a script run');
      }
      if (all('script').length > 0) wrong.push('there is a script');
      for (const element of all('*')) {
        for (const { name } of element.attributes) {
          if (name.startsWith('on')) wrong.push(`there is a script in ${name}`);
        }
      }
      const scheme = all('meta[name="color-scheme"]').map((meta) => meta.content);
      if (scheme.join() !== 'light dark') wrong.push('no color-scheme for light and dark');
      if (!document.documentElement.lang) wrong.push('the language is not told');
      if (all('h1').length !== 1) wrong.push(`${all('h1').length} headings of the first rank`);
      if (all('main').length !== 1) wrong.push(`${all('main').length} main parts`);
      const ids = all('[id]').map((element) => element.id);
      for (const id of ids) {
        if (ids.indexOf(id) !== ids.lastIndexOf(id)) wrong.push(`two elements are called #${id}`);
      }
      const links = all('a[href]');
      for (const link of links) {
        const to = link.getAttribute('href');
        if (!to.startsWith('#')) wrong.push(`a link leaves the page: ${to}`);
        else if (!ids.includes(to.slice(1))) wrong.push(`a link leads nowhere: ${to}`);
      }
      const first = links[0]?.getAttribute('href') ?? '';
      if (!document.getElementById(first.slice(1))?.matches('main')) {
        wrong.push('the first link does not skip to the main part');
      }
      const linked = new Set(links.map((link) => link.getAttribute('href')));
      for (const section of all('main > section')) {
        if (!linked.has(`#${section.id}`)) wrong.push(`no link leads to #${section.id}`);
      }
      for (const table of all('table')) {
        if (!table.caption?.textContent.trim()) wrong.push('a table has no caption');
        const heads = [...table.querySelectorAll('th')];
        if (heads.some((head) => !['col', 'row'].includes(head.scope))) {
          wrong.push(`a heading of "${table.caption?.textContent}" has no scope`);
        }
      }
      return wrong;
    }),
  );
  complaints.push(...found);
}

async function withoutScript(browser, path, complaints) {
  const words = (page) => page.evaluate(() => document.body.innerText);
  const plain = await withPage(browser, path, { script: false }, complaints, words);
  const usual = await withPage(browser, path, {}, complaints, words);
  if (plain !== usual) complaints.push('the page is not the same without script');
  if (plain.trim().length < 1000) complaints.push('next to nothing stands on the page');
}

async function charts(browser, path, complaints) {
  const found = await withPage(browser, path, {}, complaints, (page) =>
    page.evaluate(() => {
      const wrong = [];
      for (const figure of document.querySelectorAll('figure')) {
        const where = figure.closest('section')?.id;
        const drawn = [...figure.querySelectorAll('svg')];
        if (drawn.length !== 1) wrong.push(`a figure of #${where} has ${drawn.length} charts`);
        for (const svg of drawn) {
          const { width, height } = svg.getBoundingClientRect();
          if (width < 50 || height < 50) wrong.push(`a chart of #${where} has no size`);
          if (svg.getAttribute('role') !== 'img' || !svg.getAttribute('aria-label')?.trim()) {
            wrong.push(`a chart of #${where} has no name for who cannot see it`);
          }
          const box = svg.viewBox.baseVal;
          for (const text of svg.querySelectorAll('text')) {
            const at = text.getBBox();
            const inside = at.x >= box.x - 1 && at.x + at.width <= box.x + box.width + 1
              && at.y >= box.y - 1 && at.y + at.height <= box.y + box.height + 1;
            if (!inside) wrong.push(`"${text.textContent}" leaves a chart of #${where}`);
          }
        }
        if (!figure.querySelector('figcaption')?.textContent.trim()) {
          wrong.push(`a figure of #${where} does not say what its marks mean`);
        }
        if (!figure.querySelector('table')) wrong.push(`no table behind a chart of #${where}`);
      }
      for (const image of document.querySelectorAll('img')) {
        if (!image.alt) wrong.push('an image has no name for who cannot see it');
      }
      return wrong;
    }),
  );
  complaints.push(...found);
}

// The tool below does not look at the fill of drawn text, nor at marks.
async function contrastOfCharts(scheme, browser, path, complaints) {
  const found = await withPage(browser, path, { scheme }, complaints, (page) =>
    page.evaluate(() => {
      const rgb = (color) => (color.match(/[\d.]+/g) ?? []).map(Number);
      const light = (color) => {
        const [r, g, b] = rgb(color).map((part) => part / 255)
          .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
      };
      const contrast = (a, b) => {
        const [low, high] = [light(a), light(b)].sort((x, y) => x - y);
        return (high + 0.05) / (low + 0.05);
      };
      const paperOf = (element) => {
        for (let at = element; at; at = at.parentElement) {
          const color = getComputedStyle(at).backgroundColor;
          if (rgb(color)[3] !== 0) return color;
        }
        return 'rgb(255, 255, 255)';
      };
      const wrong = new Set();
      for (const svg of document.querySelectorAll('figure svg')) {
        const paper = paperOf(svg);
        const paths = [...svg.querySelectorAll('path')];
        for (const path of paths) {
          const { stroke, fill } = getComputedStyle(path);
          const ink = stroke === 'none' ? fill : stroke;
          // Grid lines, the grounds of marks and words, and what sets them apart from each other
          // carry nothing that the marks and words do not.
          if (!path.matches('.mist, .cloud, .ash, .paper') && contrast(ink, paper) < 3) {
            wrong.add(`marks of class "${path.getAttribute('class')}": ${ink} on ${paper}`);
          }
        }
        for (const text of svg.querySelectorAll('text')) {
          const box = text.getBBox();
          const middle = new DOMPoint(box.x + box.width / 2, box.y + box.height / 2);
          const below = paths.filter((path) => getComputedStyle(path).fill !== 'none'
            && path.compareDocumentPosition(text) & Node.DOCUMENT_POSITION_FOLLOWING
            && path.isPointInFill(middle)).pop();
          const ground = below ? getComputedStyle(below).fill : paper;
          const { fill } = getComputedStyle(text);
          if (contrast(fill, ground) < 4.5) {
            wrong.add(`"${text.textContent}": ${fill} on ${ground}`);
          }
        }
      }
      return [...wrong];
    }),
  );
  complaints.push(...found);
}

async function sizeOfText(browser, path, complaints) {
  for (const width of [1280, 320]) {
    const found = await withPage(browser, path, { width }, complaints, (page) =>
      page.evaluate((smallest) => {
        const wrong = new Set();
        document.querySelectorAll('details').forEach((details) => { details.open = true; });
        const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
        while (walker.nextNode()) {
          const text = walker.currentNode;
          if (!text.textContent.trim() || text.parentElement.closest('title, style')) continue;
          const element = text.parentElement;
          const scale = element.ownerSVGElement ? element.getScreenCTM().a : 1;
          const size = parseFloat(getComputedStyle(element).fontSize) * scale;
          if (size < smallest - 0.005) {
            wrong.add(`${size.toFixed(1)} px in ${element.localName} of #${element.closest('[id]')?.id}`);
          }
        }
        return [...wrong];
      }, SMALLEST_TEXT),
    );
    complaints.push(...found.map((words) => `at ${width} px wide: ${words}`));
  }
}

async function narrowScreens(browser, path, complaints) {
  for (const width of NARROW) {
    const found = await withPage(browser, path, { width, height: 640 }, complaints, (page) =>
      page.evaluate(() => {
        const wrong = [];
        document.querySelectorAll('details').forEach((details) => { details.open = true; });
        const root = document.documentElement;
        if (root.scrollWidth > root.clientWidth) {
          wrong.push(`the page is ${root.scrollWidth} px wide and scrolls sideways`);
        }
        for (const element of document.querySelectorAll('body *')) {
          const hides = getComputedStyle(element).overflowX !== 'visible';
          if (element.ownerSVGElement || element.localName === 'svg' || !hides) continue;
          const isNamed = element.getAttribute('aria-label') || element.getAttribute('aria-labelledby');
          if (element.scrollWidth > element.clientWidth && (element.tabIndex !== 0 || !isNamed)) {
            wrong.push(`a ${element.localName}.${element.className} scrolls, but not for a keyboard`);
          }
        }
        return wrong;
      }),
    );
    complaints.push(...found.map((words) => `at ${width} px wide: ${words}`));
  }
}

async function lessMotion(browser, path, complaints) {
  const found = await withPage(browser, path, { motion: 'reduce' }, complaints, (page) =>
    page.evaluate(() => {
      const moves = [...document.querySelectorAll('html, body *')].filter((element) => {
        const style = getComputedStyle(element);
        return style.scrollBehavior === 'smooth' || style.animationName !== 'none'
          || style.transitionDuration !== '0s';
      });
      return moves.map((element) => `${element.localName} moves all the same`);
    }),
  );
  complaints.push(...found);
}

async function paper(browser, path, complaints) {
  for (const { name, width } of SHEETS) {
    const view = { media: 'print', width: Math.floor(width) };
    const found = await withPage(browser, path, view, complaints, (page) =>
      page.evaluate(() => {
        const wrong = new Set();
        const all = (selector) => [...document.querySelectorAll(selector)];
        const style = (element) => getComputedStyle(element);
        const isShown = (element) => element.getClientRects().length > 0;
        const sheet = document.documentElement.clientWidth;
        for (const element of all('table, svg, figure, h1, h2, h3, p, dl, ul').filter(isShown)) {
          const { left, right } = element.getBoundingClientRect();
          if (left < -0.5 || right > sheet + 0.5) {
            wrong.add(`a ${element.localName} of #${element.closest('[id]')?.id} is wider than the sheet`);
          }
        }
        for (const element of all('tr, figure').filter(isShown)) {
          if (style(element).breakInside !== 'avoid') wrong.add(`a ${element.localName} may be cut`);
        }
        // A box that scrolls is one piece for a printer, and cut where the sheet ends.
        for (const element of all('.scroll, .chart').filter(isShown)) {
          if (style(element).overflow !== 'visible') wrong.add(`a ${element.className} is cut`);
        }
        for (const head of all('thead').filter(isShown)) {
          if (style(head).display !== 'table-header-group') wrong.add('the head of a table is not repeated');
        }
        for (const heading of all('h2, h3').filter(isShown)) {
          if (style(heading).breakAfter !== 'avoid') wrong.add('a heading may stand alone at the end of a sheet');
        }
        if (all('nav').some(isShown)) wrong.add('the navigation is printed');
        if (all('main table').filter(isShown).length === 0) wrong.add('no table is printed');
        return [...wrong];
      }),
    );
    complaints.push(...found.map((words) => `${name}: ${words}`));
  }
}

// Counted in the file that the browser prints, since only there sheets exist.
async function firstPageOnPaper(browser, path, complaints) {
  for (const { name } of SHEETS) {
    await withPage(browser, path, { media: 'print' }, complaints, async (page) => {
      const whole = sheets(await page.pdf({ format: name, printBackground: true }));
      await page.addStyleTag({
        content: `main > :not(:first-child), body > footer { display: none !important; }
          main > :first-child { break-after: auto !important; }`,
      });
      const first = sheets(await page.pdf({ format: name, printBackground: true }));
      if (first !== 1) complaints.push(`${name}: it takes ${first} sheets`);
      if (whole < 2) complaints.push(`${name}: the whole report takes ${whole} sheets`);
    });
  }
}

function sheets(pdf) {
  return Buffer.from(pdf).toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
}

async function accessibility(view, browser, path, complaints, only = TAGS) {
  await withPage(browser, path, { ...view, judge: true }, complaints, async (page) => {
    await page.evaluate(axe.source);
    const { violations } = await page.evaluate(async (runOnly) => {
      document.querySelectorAll('details').forEach((details) => { details.open = true; });
      return window.axe.run(document, {
        runOnly,
        rules: { 'target-size': { enabled: true } },
        resultTypes: ['violations'],
      });
    }, only);
    for (const { id, help, nodes } of violations) {
      const where = nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(' | ');
      complaints.push(`${id}: ${help}, ${nodes.length} times: ${where}`);
    }
  });
}
