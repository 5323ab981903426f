// How the page looks: phone, light and dark, contrast, paper, and what a screen reader needs.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {examples, named, open} from './browser.mjs';

for (const width of [320, 390, 768, 1200]) {
    test(`no page scrolls sideways at ${width} pixels`, async () => {
        for (const name of [...examples, 'hostile', 'crowded']) {
            const {page, close} = await open(name, {viewport: {width, height: 800}});
            const {scroll, client} = await page.evaluate(() => ({
                scroll: document.documentElement.scrollWidth, client: document.documentElement.clientWidth}));
            assert.ok(scroll <= client, `${name}: ${scroll} > ${client}`);
            await close();
        }
    });
}

// WCAG 2.1, 1.4.3: 4.5 for text, 3 for large text (24 px, or 18.66 px bold).
const faint = (page) => page.evaluate(() => {
    const canvas = Object.assign(document.createElement('canvas'), {width: 1, height: 1});
    const context = canvas.getContext('2d', {willReadFrequently: true});
    const rgba = (colour) => {
        context.clearRect(0, 0, 1, 1);
        context.fillStyle = colour;
        context.fillRect(0, 0, 1, 1);
        return [...context.getImageData(0, 0, 1, 1).data];
    };
    const luminance = (colour) => {
        const [r, g, b] = colour.map((v) => v / 255).map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ground = (element) => {
        for (let e = element; e; e = e.parentElement) {
            const colour = rgba(getComputedStyle(e).backgroundColor);
            if (colour[3] === 255) {
                return colour;
            }
        }
        return [255, 255, 255, 255];
    };
    const all = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        const element = node.parentElement;
        if (!node.data.trim() || element.closest('script, style, title') || element.getClientRects().length === 0) {
            continue;
        }
        const style = getComputedStyle(element);
        const ink = rgba(element.closest('svg') ? style.fill : style.color);
        const [a, b] = [luminance(ink.slice(0, 3)), luminance(ground(element).slice(0, 3))];
        const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
        const size = parseFloat(style.fontSize);
        const large = size >= 24 || (size >= 18.66 && parseInt(style.fontWeight) >= 700);
        if (ratio < (large ? 3 : 4.5)) {
            all.push(`${ratio.toFixed(2)}: ${node.data.trim().slice(0, 40)}`);
        }
    }
    return all;
});

for (const colorScheme of ['light', 'dark']) {
    test(`every text can be told from its ground, ${colorScheme}`, async () => {
        const {page, close} = await open('sewing-adapter', {colorScheme});
        await named(page, 'part', 'R3', '#parts th').first().click();
        assert.deepEqual(await faint(page), []);
        await close();
    });
}

const brightness = (page) => page.evaluate(() =>
    parseInt(getComputedStyle(document.body).backgroundColor.match(/\d+/)[0]));

test('dark follows the system and the switch', async () => {
    const {page, close} = await open('henhouse-lamp', {colorScheme: 'dark'});
    assert.ok(await brightness(page) < 60);
    const button = page.locator('#theme');
    await button.click();
    assert.match(await button.textContent(), /light/);
    assert.ok(await brightness(page) > 200);
    await button.click();
    assert.match(await button.textContent(), /dark/);
    assert.ok(await brightness(page) < 60);
    await button.click();
    assert.match(await button.textContent(), /system/);
    await close();
});

test('on paper there are no controls and the whole circuit, however it was zoomed', async () => {
    const {page, close} = await open('sewing-adapter', {colorScheme: 'dark'});
    await named(page, 'part', 'R3', '#parts th').first().click();
    await page.locator('#zoom-in').click();
    const pdf = await page.pdf({preferCSSPageSize: true});
    assert.equal(pdf.subarray(0, 5).toString(), '%PDF-');
    const pages = pdf.toString('latin1').match(/\/Type\s*\/Page\b/g).length;
    assert.ok(pages >= 4 && pages <= 30, `${pages} pages`);  // a tenth of a page for each part
    await page.emulateMedia({media: 'print'});
    for (const selector of ['.bar', '.contents', '#status', '#tools']) {
        assert.ok(await page.locator(selector).isHidden(), selector);
    }
    assert.equal(await page.locator('#view > svg').evaluate((e) => getComputedStyle(e).transform), 'none');
    assert.equal(await brightness(page), 255);
    assert.deepEqual(await faint(page), []);
    await close();
});

test('a screen reader finds language, one main heading, named controls and tables with heads', async () => {
    const {page, close} = await open('sewing-adapter');
    const wrong = await page.evaluate(() => {
        const found = [];
        const need = (truth, what) => truth || found.push(what);
        need(document.documentElement.lang === 'en', 'language');
        need(document.querySelectorAll('h1').length === 1, 'one h1');
        need(document.querySelectorAll('main').length === 1, 'one main');
        let before = 1;
        for (const heading of document.querySelectorAll('h1, h2, h3, h4')) {
            const level = Number(heading.tagName[1]);
            need(level <= before + 1, 'level of ' + heading.textContent);
            before = level;
        }
        for (const control of document.querySelectorAll('button, input, [role="group"], nav, aside')) {
            const name = control.getAttribute('aria-label') || control.textContent.trim() ||
                (control.labels && control.labels.length && control.labels[0].textContent);
            need(name || control.closest('svg'), 'name of ' + control.outerHTML.slice(0, 60));
        }
        for (const image of document.querySelectorAll('img')) {
            need(image.hasAttribute('alt'), 'alt of an image');
        }
        for (const section of document.querySelectorAll('section')) {
            need(document.getElementById(section.getAttribute('aria-labelledby')), 'label of ' + section.id);
        }
        for (const table of document.querySelectorAll('table')) {
            need(table.querySelector('th[scope]'), 'heads of a table');
        }
        return found;
    });
    assert.deepEqual(wrong, []);
    await close();
});

test('severity is told by shape and word, not by colour alone', async () => {
    const {page, close} = await open('sewing-adapter');
    const marks = await page.locator('.finding .mark').evaluateAll((all) =>
        all.map((mark) => [mark.textContent.trim(), mark.querySelector('svg').innerHTML]));
    assert.ok(marks.length > 0);
    const shapes = new Map(marks);
    assert.equal(new Set(shapes.values()).size, shapes.size, 'one shape for each word');
    for (const [word] of marks) {
        assert.match(word, /^(danger|warning|weakness|note)$/);
    }
    await close();
});

test('what a figure rests on is folded, opens by key, by link and for paper', async () => {
    const {page, trouble, close} = await open('sewing-adapter');
    const figure = page.locator('#figures details.figure').first();
    const why = figure.locator('.source');
    assert.ok(await why.isHidden());
    await figure.locator('summary').focus();
    await page.keyboard.press('Enter');
    assert.ok(await why.isVisible());
    await page.locator('#unfold').click();
    assert.equal(await page.locator('#figures details:not([open])').count(), 0);
    await page.locator('#unfold').click();
    assert.equal(await page.locator('#figures details[open]').count(), 0);
    const id = await figure.getAttribute('id');
    await page.evaluate((goal) => { location.hash = goal; }, id);
    await page.waitForFunction((goal) => document.getElementById(goal).open, id);
    await page.emulateMedia({media: 'print'});
    for (const source of await page.locator('#figures .source').all()) {
        assert.ok(await source.isVisible());
    }
    assert.deepEqual(trouble, []);
    await close();
});

test('the summary leads to the worst finding and to what is assumed', async () => {
    const {page, close} = await open('sewing-adapter');
    const links = page.locator('#glance .facts a');
    const title = await page.locator('.finding h3').first().textContent();
    assert.ok(title.endsWith(await page.locator('#glance a[href^="#finding-"]').first().textContent()));
    assert.ok(await links.filter({hasText: 'assumed'}).count() > 0);
    for (const name of ['C7', 'T1', 'U2']) {
        assert.equal(await named(page, 'part', name, '#glance').count(), 1, name);
    }
    await close();
});
