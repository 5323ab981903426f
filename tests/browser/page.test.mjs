// The page as it loads: no errors, nothing asked of the network, no harm from hostile names.
import assert from 'node:assert/strict';
import {test} from 'node:test';
import {examples, facts, named, open} from './browser.mjs';

for (const name of [...examples, 'hostile']) {
    test(`${name} loads without an error and asks nothing of the network`, async () => {
        const {page, trouble, close} = await open(name);
        await page.waitForLoadState('load');
        await page.mouse.wheel(0, 4000);
        await page.waitForTimeout(100);
        assert.deepEqual(trouble, []);
        await close();
    });
}

test('what would reach for the network is stopped by the page itself', async () => {
    const {page, close} = await open('henhouse-lamp');
    const result = await page.evaluate(async () => {
        try {
            await fetch('https://example.org/');
            return 'fetched';
        } catch {
            return 'stopped';
        }
    });
    assert.equal(result, 'stopped');
    const ran = await page.evaluate(() => {
        const script = document.createElement('script');
        script.textContent = 'window.foreign = true';
        document.body.append(script);
        return window.foreign === true;
    });
    assert.equal(ran, false, 'a script that is not the page\'s own ran');
    await close();
});

test('hostile names stay text, and can be chosen like any other', async () => {
    const {page, trouble, close} = await open('hostile');
    assert.equal(await page.locator('u, main script, main img[src="x"]').count(), 0);
    const name = '</script><b>R1&';
    await page.getByRole('link', {name, exact: true}).first().click();
    assert.match(await page.locator('#status-text').textContent(), /^<\/script><b>R1& resistor/);
    await page.locator('#status-text').getByRole('link', {name: '__proto__'}).click();
    assert.match(await page.locator('#status-text').textContent(), /^__proto__ net/);
    assert.equal(await page.locator('#status-text b').count(), 0);
    await page.locator('#find').fill('</script>');
    assert.match(await page.locator('#found li').first().textContent(), /<\/script><b>R1&/);
    assert.deepEqual(trouble, []);
    await close();
});

test('every part and net of the circuit stands in the drawing and in its table', async () => {
    for (const name of examples) {
        const {page, close} = await open(name);
        const {parts, nets} = await facts(page);
        assert.ok(parts.length > 5 && nets.length > 3);
        for (const [part, , partNets] of parts.filter(([, , of]) => of.length > 0)) {
            assert.equal(await named(page, 'part', part, '#view').count(), 1, `${name}: ${part} drawn`);
            assert.ok(partNets.length > 0);
        }
        for (const [net] of nets) {
            assert.equal(await named(page, 'net', net, '#view').count(), 1, `${name}: ${net} drawn`);
            assert.ok(await named(page, 'net', net, '#nets').count() > 0, `${name}: ${net} listed`);
        }
        await close();
    }
});

test('the page can be read without its script', async () => {
    const {page, close} = await open('sewing-adapter', {javaScriptEnabled: false});
    for (const id of ['findings', 'cautions', 'circuit', 'parts', 'nets', 'figures', 'bench']) {
        assert.ok(await page.locator('#' + id).isVisible(), id);
    }
    assert.ok(await page.locator('#view > svg').isVisible());
    assert.equal(await page.locator('#tools').isVisible(), false);
    await close();
});
