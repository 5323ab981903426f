// What the tests share: one browser, and pages that note every error and every request.
import {execFileSync} from 'node:child_process';
import {createRequire} from 'node:module';
import {after} from 'node:test';
import path from 'node:path';

// Packages and reports lie in the working folder, the tests in the source.
const {chromium} = createRequire(path.resolve('package.json'))('playwright-core');

export const examples = ['henhouse-lamp', 'sewing-adapter', 'seedling-driver', 'everything'];

const executablePath = execFileSync('sh', ['-c', 'command -v chromium']).toString().trim();
// Chromium refuses its sandbox to root.
const args = process.getuid() === 0 ? ['--no-sandbox'] : [];
const browser = await chromium.launch({executablePath, args});
after(() => browser.close());

export function fileOf(name) {
    return path.resolve('reports', name, 'report.html');
}

// Opens a report. `trouble` fills with whatever a good page does not do.
export async function open(name, options = {}, hash = '') {
    const context = await browser.newContext({viewport: {width: 1200, height: 900}, ...options});
    const page = await context.newPage();
    const trouble = [];
    const own = 'file://' + fileOf(name);
    page.on('console', (message) => {
        if (['error', 'warning'].includes(message.type())) {
            trouble.push('console: ' + message.text());
        }
    });
    page.on('pageerror', (error) => trouble.push('error: ' + error.message));
    page.on('dialog', (dialog) => {
        trouble.push('dialog: ' + dialog.message());
        dialog.dismiss();
    });
    context.on('page', (other) => {
        if (other !== page) {
            trouble.push('a window opened');
        }
    });
    page.on('request', (request) => {
        if (request.url().split('#')[0] !== own && !request.url().startsWith('data:')) {
            trouble.push('request: ' + request.url());
        }
    });
    await page.goto(own + hash);
    return {page, trouble, close: () => context.close()};
}

// The elements with exactly this part's or net's name; names may hold anything.
export const named = (page, kind, name, within = '') =>
    page.locator(`${within} [data-${kind}=${JSON.stringify(name)}]`);

export const chosen = (page) => page.evaluate(() =>
    [...document.querySelectorAll('main .chosen')].map((element) => element.dataset.part ?? element.dataset.net));

export const facts = (page) => page.evaluate(() =>
    JSON.parse(document.getElementById('facts').textContent));
