// Opens a report in a real browser and says what is wrong with it: `node check.mjs [report.html]`.
// Without a name it takes the committed report of the sample. Exit code 1 when anything is wrong.

import { fileURLToPath } from 'node:url';
import { resolve } from 'node:path';
import { launch } from './browser.mjs';
import { RULES, complaintsAbout } from './rules.mjs';

const sample = fileURLToPath(new URL('../../reports/sample/report.html', import.meta.url));
const path = resolve(process.argv[2] ?? sample);

const browser = await launch();
let failed = 0;
try {
  for (const rule of RULES) {
    const started = Date.now();
    const complaints = await complaintsAbout(browser, path, [rule]);
    const seconds = ((Date.now() - started) / 1000).toFixed(1);
    console.log(`${complaints.length === 0 ? 'ok  ' : 'FAIL'} ${rule[0]} (${seconds} s)`);
    complaints.slice(0, 20).forEach((complaint) => console.log(`     ${complaint}`));
    if (complaints.length > 20) console.log(`     and ${complaints.length - 20} more`);
    failed += complaints.length === 0 ? 0 : 1;
  }
} finally {
  await browser.close();
}
console.log(`${RULES.length - failed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
