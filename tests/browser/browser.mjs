// Starts the browser of this machine and opens a report in it the way a reader would: from the
// file system, with nothing to fetch. Knows no rule; the rules stand in rules.mjs.

import { existsSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import puppeteer from 'puppeteer-core';

const KNOWN_PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];

/** A headless browser. The caller closes it. */
export async function launch() {
  const executablePath = process.env.CHROMIUM ?? KNOWN_PLACES.find((place) => existsSync(place));
  if (!executablePath) {
    throw new Error('no chromium found; install it, or name its program in CHROMIUM');
  }
  const isRoot = process.getuid?.() === 0;
  return puppeteer.launch({
    executablePath,
    headless: true,
    args: [
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-dev-shm-usage',
      '--no-first-run',
      // The sandbox of the browser does not start for root, which is who runs a gate.
      ...(isRoot ? ['--no-sandbox'] : []),
    ],
    protocolTimeout: 300_000,
  });
}

/**
 * Opens `path` and hands the page to `look`. `complaints` gets what the browser itself has to say:
 * messages, errors and every request beyond the file.
 */
export async function withPage(browser, path, view, complaints, look) {
  const page = await browser.newPage();
  const complain = (words) => complaints.push(words);
  const address = pathToFileURL(path).href;
  page.on('console', (message) => complain(`the console says: ${message.text()}`));
  page.on('pageerror', (error) => complain(`an error on the page: ${error.message}`));
  page.on('requestfailed', (request) => complain(`a request failed: ${request.url()}`));
  try {
    await page.setRequestInterception(true);
    page.on('request', (request) => {
      const is_the_file = request.url() === address && request.isNavigationRequest();
      if (is_the_file) {
        request.continue();
      } else {
        complain(`the page asks for ${request.url()}`);
        request.abort();
      }
    });
    await page.setViewport({ width: view.width ?? 1280, height: view.height ?? 900 });
    await page.setJavaScriptEnabled(view.script ?? true);
    // Only the tool that judges accessibility is let in past the page's own policy.
    await page.setBypassCSP(view.judge ?? false);
    // In one call: of two, the second would undo the first.
    const session = await page.createCDPSession();
    await session.send('Emulation.setEmulatedMedia', {
      media: view.media ?? 'screen',
      features: [
        { name: 'prefers-color-scheme', value: view.scheme ?? 'light' },
        { name: 'prefers-reduced-motion', value: view.motion ?? 'no-preference' },
      ],
    });
    await page.goto(address, { waitUntil: 'load' });
    return await look(page);
  } finally {
    await page.close();
  }
}
