// Waveforms in the page: cursor and values, zoom, marks, keys, paper.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {open} from './browser.mjs';

const whole = 0, cycle = 1, switching = 2;

async function plotOf(index, options) {
    const opened = await open('waveforms', options);
    const view = opened.page.locator('.plot-view').nth(index);
    await view.scrollIntoViewIfNeeded();
    const box = () => view.boundingBox();
    const texts = (type) => view.locator(`.live .${type}`).allTextContents();
    const range = () => opened.page.evaluate((i) => [report.plots[i].from, report.plots[i].to], index);
    return {...opened, view, box, texts, range};
}
const plain = (text) => text.replaceAll('\u00a0', ' ');

test('the page draws what the program drew: ticks, names and what curves reach', async () => {
    for (const index of [whole, cycle, switching]) {
        // At the width of the program's picture both choose the same ticks.
        const {page, view, texts, trouble, close} = await plotOf(index);
        await view.evaluate((element) => { element.style.width = '880px'; });
        await page.waitForFunction((i) => report.plots[i].live.getAttribute('width') === '880', index);
        for (const type of ['tick', 'name', 'words', 'number']) {
            assert.deepEqual(await texts(type), await view.locator(`.still .${type}`).allTextContents(), type);
        }
        assert.deepEqual(trouble, []);
        await close();
    }
});

test('the pointer shows the value of every curve at its time', async () => {
    const {page, box, texts, close} = await plotOf(switching);
    const {x, y} = await box();
    const {left, right} = await page.evaluate((i) => report.plots[i], switching);
    // In the middle of the first stroke: 1.55 of 33.6 µs; the current has come half the way to 450 mA.
    await page.mouse.move(x + left + (right - left) * 1.55 / 33.6, y + 60);
    const values = (await texts('reading')).map(plain);
    assert.equal(values.length, 4);
    assert.ok(Math.abs(parseFloat(values[1]) - 225) < 6 && values[1].endsWith(' mA'), values[1]);
    assert.equal(values[2], '0 A');
    assert.ok(Math.abs(parseFloat(values[3]) - 1.55) < 0.05 && values[3].endsWith(' µs'), values[3]);
    await close();
});

test('dragging across zooms in time, a double click shows the whole again', async () => {
    const {page, box, range, texts, close} = await plotOf(cycle);
    const before = await range();
    const {x, y} = await box();
    await page.mouse.move(x + 200, y + 80);
    await page.mouse.down();
    await page.mouse.move(x + 300, y + 80, {steps: 4});
    await page.mouse.up();
    const [from, to] = await range();
    assert.ok(to - from < (before[1] - before[0]) / 5, 'zoomed');
    assert.ok(from > before[0] && to < before[1]);
    assert.ok((await texts('tick')).some((text) => /\.\d/.test(text)), 'finer ticks');
    await page.mouse.dblclick(x + 250, y + 80);
    assert.deepEqual(await range(), before);
    await close();
});

test('no peak is lost at any zoom', async () => {
    const {page, close} = await plotOf(switching);
    const peaks = await page.evaluate((i) => {
        const plot = report.plots[i];
        const found = [];
        for (const share of [1, 0.5, 0.26]) {
            plot.show(plot.data.start, plot.data.start + share * (plot.data.end - plot.data.start));
            const line = plot.live.querySelector('.line').getAttribute('d');
            const tops = [...line.matchAll(/[ML][-\d.]+ ([-\d.]+)/g)].map((point) => Number(point[1]));
            found.push([Math.min(...tops), plot.panels[0].y(plot.whole[0].high)]);
        }
        return found;
    }, switching);
    for (const [drawn, peak] of peaks) {
        assert.ok(Math.abs(drawn - peak) < 0.6, `${drawn} ${peak}`);
    }
    await close();
});

test('keys move the cursor, zoom, mark and go back, and what they show is told', async () => {
    const {page, view, range, close} = await plotOf(cycle);
    const said = page.locator('.plot-said').nth(cycle);
    const before = await range();
    await view.focus();
    await page.keyboard.press('ArrowRight');
    assert.match(plain(await said.textContent()), /^At 10\.2 ms: Voltage of the supply −\d/);
    await page.keyboard.press('m');
    await page.keyboard.press('Shift+ArrowRight');
    assert.match(plain(await said.textContent()), /At 12\.2 ms \(\+2 ms, 500 Hz\)/);
    await page.keyboard.press('+');
    await page.keyboard.press('+');
    const [from, to] = await range();
    assert.ok(Math.abs((to - from) / (before[1] - before[0]) - 0.25) < 1e-9);
    await page.keyboard.press('0');
    assert.deepEqual(await range(), before);
    await page.keyboard.press('Escape');
    assert.equal(await said.textContent(), '');
    await close();
});

test('heights fit what is shown when asked to', async () => {
    const {page, view, texts, close} = await plotOf(cycle);
    const fit = page.locator('.plot-fit').nth(cycle);
    await page.evaluate((i) => {
        const {start, end} = report.plots[i].data;
        report.plots[i].show(start, start + (end - start) / 20);
    }, cycle);
    const before = await texts('tick');
    await fit.click();
    assert.equal(await fit.getAttribute('aria-pressed'), 'true');
    assert.notDeepEqual(await texts('tick'), before);
    await view.focus();
    await page.keyboard.press('f');
    assert.deepEqual(await texts('tick'), before);
    await close();
});

test('a folded scenario draws its plots when it opens', async () => {
    const {page, close} = await open('waveforms');
    const folded = page.locator('details.scenario').first();
    await folded.locator('summary').first().click();
    const live = folded.locator('.live');
    await page.waitForFunction((element) => element.querySelector('.line'), await live.elementHandle());
    assert.ok((await live.boundingBox()).width > 300);
    await close();
});

test('paper shows the whole plots, folded scenarios too, however they were zoomed', async () => {
    const {page, close} = await plotOf(cycle, {colorScheme: 'dark'});
    await page.evaluate((i) => report.plots[i].zoom(8), cycle);
    await page.emulateMedia({media: 'print'});
    const view = page.locator('.plot-view').nth(cycle);
    assert.ok(await view.locator('.still').isVisible());
    assert.ok(await view.locator('.live').isHidden());
    assert.ok(await page.locator('.plot-tools').first().isHidden());
    await close();
});

for (const width of [320, 390, 768]) {
    test(`a page with plots does not scroll sideways at ${width} pixels, and texts stay inside`, async () => {
        const {page, close} = await open('waveforms', {viewport: {width, height: 800}});
        await page.locator('details.scenario summary').first().click();
        const outside = await page.evaluate(() => {
            const found = [];
            if (document.documentElement.scrollWidth > document.documentElement.clientWidth) {
                found.push('the page scrolls');
            }
            for (const svg of document.querySelectorAll('.plot.live')) {
                const frame = svg.getBoundingClientRect();
                for (const text of svg.querySelectorAll('text')) {
                    const box = text.getBoundingClientRect();
                    if (box.left < frame.left - 1 || box.right > frame.right + 1) {
                        found.push(text.textContent);
                    }
                }
            }
            return found;
        });
        assert.deepEqual(outside, []);
        await close();
    });
}

test('a finger draws the cursor and still scrolls the page', async () => {
    const {page, view, box, texts, close} = await plotOf(switching, {hasTouch: true, viewport: {width: 390, height: 800}});
    assert.equal(await view.evaluate((e) => getComputedStyle(e).touchAction), 'pan-y');
    const {x, y} = await box();
    await page.touchscreen.tap(x + 120, y + 60);
    assert.ok((await texts('reading')).length > 0);
    await close();
});
