// Choosing a part or a net by mouse, by touch, by keyboard and by search.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {chosen, facts, named, open} from './browser.mjs';

const status = (page) => page.locator('#status-text').textContent();
const has = (locator, name) => locator.evaluate((e, c) => e.classList.contains(c), name);

test('a part clicked in the table lights up in the drawing, with its neighbours named', async () => {
    const {page, trouble, close} = await open('henhouse-lamp');
    const {parts, nets} = await facts(page);
    const [name, , itsNets] = parts.find(([part]) => part === 'C1');
    const drawn = named(page, 'part', name, '#view');
    const before = await drawn.evaluate((e) => getComputedStyle(e).strokeWidth);
    await named(page, 'part', name, '#parts th').first().click();
    assert.ok(await has(drawn, 'chosen'));
    assert.notEqual(await drawn.evaluate((e) => getComputedStyle(e).strokeWidth), before,
                    'told by thickness, not by colour alone');
    for (const net of itsNets) {
        assert.ok(await has(named(page, 'net', net, '#view'), 'near'));
        const [, , pins] = nets.find(([other]) => other === net);
        for (const [neighbour] of pins) {
            assert.ok((await status(page)).includes(neighbour));
        }
    }
    assert.deepEqual([...new Set(await chosen(page))], [name]);
    assert.deepEqual(trouble, []);
    await close();
});

test('a part clicked in the drawing lights up in the table and wherever else it is named', async () => {
    const {page, close} = await open('sewing-adapter');
    await named(page, 'part', 'R3', '#view').locator('rect.hit').click();
    assert.ok(await has(page.locator('tr#row-part-R3'), 'chosen'));
    const places = await named(page, 'part', 'R3', 'main').count();
    assert.ok(places >= 4, 'drawing, row, name and a finding or a figure');
    assert.equal((await chosen(page)).filter((name) => name === 'R3').length, places);
    await close();
});

test('a wire clicked in the drawing and a net clicked in a table light up both', async () => {
    const {page, close} = await open('sewing-adapter');
    const {nets} = await facts(page);
    const [name] = nets.find(([, , pins]) => pins.length >= 4);
    await named(page, 'net', name, '#nets th').first().click();
    const wire = named(page, 'net', name, '#view').locator('.wire');
    const thick = parseFloat(await wire.evaluate((e) => getComputedStyle(e).strokeWidth));
    await page.keyboard.press('Escape');
    assert.deepEqual(await chosen(page), []);
    assert.ok(await page.locator('#status').isHidden());
    const thin = parseFloat(await wire.evaluate((e) => getComputedStyle(e).strokeWidth));
    assert.ok(thick > 2 * thin, `${thick} against ${thin}`);
    // A point on the wire that no part covers.
    const point = await page.evaluate((net) => {
        const group = [...document.querySelectorAll('#view .net')].find((e) => e.dataset.net === net);
        const path = group.querySelector('.wire');
        path.scrollIntoView({block: 'center'});
        const total = path.getTotalLength(), to = path.getScreenCTM();
        for (let at = 1; at < total; at += 3) {
            const p = path.getPointAtLength(at).matrixTransform(to);
            if (document.elementFromPoint(p.x, p.y)?.closest('.net') === group) {
                return [p.x, p.y];
            }
        }
        return null;
    }, name);
    await page.mouse.click(...point);
    assert.ok(await has(page.locator(`tr[data-net=${JSON.stringify(name)}]`), 'chosen'));
    await close();
});

test('neighbours in the status line lead on', async () => {
    const {page, close} = await open('henhouse-lamp');
    await named(page, 'part', 'C1', '#parts th').first().click();
    const next = page.locator('#status-text a[data-part]').first();
    const name = await next.textContent();
    await next.click();
    assert.ok((await status(page)).startsWith(name));
    await page.locator('#to-list').click();
    assert.match(page.url(), /#row-part-/);
    await page.locator('#clear').click();
    assert.deepEqual(await chosen(page), []);
    await close();
});

test('all of it works by keyboard alone', async () => {
    const {page, close} = await open('sewing-adapter');
    await page.keyboard.press('Tab');
    assert.equal(await page.evaluate(() => document.activeElement.className), 'skip');
    await page.keyboard.press('Enter');
    await page.keyboard.press('/');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'find');
    await page.keyboard.type('u1');
    await page.keyboard.press('Enter');
    assert.ok((await status(page)).startsWith('U1 controller'));
    assert.equal(await page.evaluate(() => document.activeElement.dataset.part), 'U1');
    await page.keyboard.press('Tab');
    const focused = await page.evaluate(() => document.activeElement.dataset);
    assert.ok(focused.net, 'the next stop is a net of U1');
    assert.ok((await status(page)).startsWith(focused.net + ' net'), 'lit up in passing');
    await page.keyboard.press('Escape');
    assert.deepEqual(await chosen(page), []);
    // Into the drawing: step through the parts, zoom, and out again.
    await page.locator('#zoom-reset').focus();
    await page.keyboard.press('Tab');
    assert.equal(await page.evaluate(() => document.activeElement.id), 'view');
    await page.keyboard.press('n');
    const first = (await chosen(page))[0];
    await page.keyboard.press('n');
    assert.notEqual((await chosen(page))[0], first);
    await page.keyboard.press('p');
    assert.equal((await chosen(page))[0], first);
    await page.keyboard.press('+');
    assert.match(await page.locator('#view > svg').getAttribute('style'), /scale\(1\.5\)/);
    await page.keyboard.press('0');
    await page.keyboard.press('Tab');
    assert.notEqual(await page.evaluate(() => document.activeElement.id), 'view', 'no trap');
    assert.equal(await page.evaluate(() => document.activeElement.closest('#view')), null,
                 'one stop for the whole drawing');
    await close();
});

test('the search box finds parts, nets, findings and figures by name and by word', async () => {
    const {page, close} = await open('sewing-adapter');
    const find = page.locator('#find');
    const found = page.locator('#found li');
    await find.fill('R15');
    assert.match(await found.first().textContent(), /^R15resistor/);
    await found.first().click();
    assert.ok((await status(page)).startsWith('R15 '));
    assert.ok(await page.locator('#row-part-R15').evaluate((e) => {
        const box = e.getBoundingClientRect();
        return box.top >= 0 && box.bottom <= innerHeight;
    }), 'the row is in sight');
    await find.fill('optocoupler');
    assert.ok((await found.allTextContents()).some((text) => text.startsWith('U2')));
    await find.fill('hv-');
    assert.match(await found.first().textContent(), /^HV-net/);
    const {findings, figures} = await facts(page);
    for (const [title, , goal] of [findings[0], figures[0]]) {
        await find.fill(title);
        await page.keyboard.press('Enter');
        assert.equal(await page.evaluate(() => document.activeElement.closest('[id]').id), goal);
    }
    await find.fill('no such thing');
    assert.match(await found.first().textContent(), /Nothing on this page/);
    await page.keyboard.press('Escape');
    assert.equal(await find.inputValue(), '');
    await close();
});

test('a link to a part or a net chooses it and shows the circuit', async () => {
    for (const [hash, begin] of [['#part-R3', 'R3 '], ['#net-HV+', 'HV+ net'], ['#net-HV_2b', 'HV+ net']]) {
        const {page, close} = await open('sewing-adapter', {}, hash);
        assert.ok((await status(page)).startsWith(begin), hash);
        await page.waitForFunction(() => {
            const box = document.getElementById('view').getBoundingClientRect();
            return box.top >= 0 && box.top < innerHeight / 2;
        });
        await close();
    }
});

test('while the circuit is out of sight a small window shows the chosen part', async () => {
    const {page, close} = await open('sewing-adapter');
    await named(page, 'part', 'R15', '#parts th').first().click();
    await page.locator('#peek').waitFor({state: 'visible'});
    assert.equal(await page.locator('#peek .part.chosen').count(), 1);
    await page.locator('#peek').click();
    await page.locator('#peek').waitFor({state: 'hidden'});
    await close();
});
