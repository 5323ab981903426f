// Zooming and moving the circuit.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {chosen, named, open} from './browser.mjs';

const place = (page) => page.locator('#view > svg').evaluate((svg) => {
    const m = new DOMMatrix(getComputedStyle(svg).transform);
    return {scale: m.a, x: m.e, y: m.f};
});

async function atCircuit(name, options) {
    const opened = await open(name, options);
    await opened.page.locator('#view').scrollIntoViewIfNeeded();
    return opened;
}

test('buttons zoom in and out and show the whole again', async () => {
    const {page, close} = await atCircuit('henhouse-lamp');
    await page.locator('#zoom-in').click();
    await page.locator('#zoom-in').click();
    assert.equal((await place(page)).scale.toFixed(2), '2.25');
    await page.locator('#zoom-out').click();
    assert.equal((await place(page)).scale.toFixed(2), '1.50');
    await page.locator('#zoom-reset').click();
    assert.deepEqual(await place(page), {scale: 1, x: 0, y: 0});
    await close();
});

test('the wheel scrolls the page; with Ctrl it zooms about the pointer', async () => {
    const {page, close} = await atCircuit('henhouse-lamp');
    const box = await page.locator('#view').boundingBox();
    await page.mouse.move(box.x + 100, box.y + 80);
    await page.mouse.wheel(0, 50);
    assert.equal((await place(page)).scale, 1);
    await page.locator('#view').scrollIntoViewIfNeeded();
    const now = await page.locator('#view').boundingBox();
    await page.mouse.move(now.x + 100, now.y + 80);
    await page.keyboard.down('Control');
    await page.mouse.wheel(0, -300);
    await page.keyboard.up('Control');
    const {scale, x, y} = await place(page);
    assert.ok(scale > 2);
    // What was under the pointer still is.
    const border = 1;
    assert.ok(Math.abs(x - (100 - border) * (1 - scale)) < 1.5, `x ${x}`);
    assert.ok(Math.abs(y - (80 - border) * (1 - scale)) < 1.5, `y ${y}`);
    await close();
});

test('dragging moves a zoomed circuit and chooses nothing', async () => {
    const {page, close} = await atCircuit('henhouse-lamp');
    await page.locator('#zoom-in').click();
    await page.locator('#zoom-in').click();
    const before = await place(page);
    const box = await page.locator('#view').boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2 - 70, box.y + box.height / 2 - 20, {steps: 5});
    await page.mouse.up();
    const after = await place(page);
    assert.ok(after.x < before.x - 50 && after.y < before.y - 10);
    assert.deepEqual(await chosen(page), []);
    await close();
});

test('two fingers zoom, one finger scrolls the page until then', async () => {
    const {page, close} = await atCircuit('henhouse-lamp', {hasTouch: true, viewport: {width: 390, height: 800}});
    const touch = () => page.locator('#view').evaluate((e) => getComputedStyle(e).touchAction);
    assert.equal(await touch(), 'pan-x pan-y');
    await page.evaluate(() => {
        const view = document.getElementById('view');
        const box = view.getBoundingClientRect();
        const send = (type, id, x, y) => view.dispatchEvent(new PointerEvent(type, {
            pointerId: id, pointerType: 'touch', bubbles: true, clientX: box.left + x, clientY: box.top + y,
        }));
        send('pointerdown', 1, 100, 60);
        send('pointerdown', 2, 140, 60);
        send('pointermove', 1, 60, 60);
        send('pointermove', 2, 180, 60);
        send('pointerup', 1, 60, 60);
        send('pointerup', 2, 180, 60);
    });
    assert.ok((await place(page)).scale > 2.5);
    assert.equal(await touch(), 'none');
    await close();
});

test('a finger on a part chooses it', async () => {
    const {page, close} = await atCircuit('henhouse-lamp', {hasTouch: true, viewport: {width: 390, height: 800}});
    await named(page, 'part', 'C1', '#view').locator('rect.hit').tap();
    assert.ok((await page.locator('#status-text').textContent()).startsWith('C1 '));
    await page.locator('#to-circuit').tap();
    assert.ok((await place(page)).scale > 1, 'drawn small on a phone, so it comes nearer');
    await close();
});
