// Choosing a part or a net: it lights up wherever it stands on the page, its neighbours are named.
(() => {
    const parts = new Map(report.facts.parts.map(([name, what, nets]) => [name, {what, nets}]));
    const nets = new Map(report.facts.nets.map(([name, what, pins]) => [name, {what, pins}]));
    const drawing = document.querySelector('#view > svg');
    const status = document.getElementById('status');
    const text = document.getElementById('status-text');
    const toCircuit = document.getElementById('to-circuit');
    const toList = document.getElementById('to-list');
    const toBoard = document.getElementById('to-board');

    // Everything on the page that stands for a part or a net, by name.
    const places = {part: new Map(), net: new Map()};
    for (const kind of ['part', 'net']) {
        for (const element of document.querySelectorAll(`[data-${kind}]`)) {
            const name = element.dataset[kind];
            if (!places[kind].has(name)) {
                places[kind].set(name, []);
            }
            places[kind].get(name).push(element);
        }
    }
    const elementsOf = (kind, name) => places[kind].get(name) || [];
    const inDrawing = (kind, name) =>
        elementsOf(kind, name).filter((element) => drawing && drawing.contains(element));

    const enough = 14;  // neighbours on one net; the net itself names them all
    let chosen = null;  // {kind, name}

    function light(kind, name, how) {
        for (const element of elementsOf(kind, name)) {
            element.classList.add(how);
        }
    }

    function darken() {
        for (const element of document.querySelectorAll('.chosen, .near')) {
            element.classList.remove('chosen', 'near');
        }
    }

    function link(kind, name, shown) {
        const a = document.createElement('a');
        const known = elementsOf(kind, name).find((element) => element.matches('a[href]'));
        a.href = known ? known.getAttribute('href') : '#' + kind + 's';
        a.dataset[kind] = name;
        a.textContent = shown || name;
        return a;
    }

    function describePart(name) {
        const part = parts.get(name);
        const line = [Object.assign(document.createElement('strong'), {textContent: name})];
        line.push(part.what ? ' ' + part.what + '. ' : '. ');
        const seen = new Set();
        part.nets.forEach((net, i) => {
            if (seen.has(net)) {
                return;
            }
            seen.add(net);
            line.push(i === 0 ? 'On ' : '; on ', link('net', net));
            const others = new Set(nets.get(net).pins.map(([other]) => other));
            others.delete(name);
            if (others.size > 0) {
                line.push(' with ');
                [...others].slice(0, enough).forEach((other, j) => {
                    line.push(j === 0 ? '' : ', ', link('part', other));
                });
                if (others.size > enough) {
                    line.push(` and ${others.size - enough} more`);
                }
            }
        });
        line.push(part.nets.length > 0 ? '.' : 'On no net.');
        return line;
    }

    function describeNet(name) {
        const net = nets.get(name);
        const line = [Object.assign(document.createElement('strong'), {textContent: name})];
        line.push(net.what ? ' net, ' + net.what + '. ' : ' net. ');
        line.push(net.pins.length > 0 ? 'Joins ' : 'Joins nothing.');
        net.pins.forEach(([part, pin], i) => {
            line.push(i === 0 ? '' : ', ', link('part', part, part + '.' + pin));
        });
        return line;
    }

    function choose(kind, name) {
        const known = kind === 'part' ? parts : nets;
        if (!known.has(name)) {
            return;
        }
        darken();
        chosen = {kind, name};
        light(kind, name, 'chosen');
        if (kind === 'part') {
            parts.get(name).nets.forEach((net) => light('net', net, 'near'));
            text.replaceChildren(...describePart(name));
        } else {
            nets.get(name).pins.forEach(([part]) => light('part', part, 'near'));
            text.replaceChildren(...describeNet(name));
        }
        const drawn = inDrawing(kind, name);
        toCircuit.hidden = drawn.length === 0;
        if (toBoard) {
            toBoard.hidden = !elementsOf(kind, name).some((element) => element.closest('.board-view'));
        }
        status.hidden = false;
        const row = elementsOf(kind, name).find((element) => element.matches('tr[id]'));
        toList.hidden = !row;
        if (row) {
            toList.href = '#' + row.id;
        }
        document.dispatchEvent(new CustomEvent('chosen', {detail: {kind, name, drawn}}));
    }

    function clear() {
        if (!chosen) {
            return;
        }
        darken();
        chosen = null;
        status.hidden = true;
        document.dispatchEvent(new CustomEvent('chosen', {detail: null}));
    }

    function targetOf(event) {
        const element = event.target.closest('[data-part], [data-net]');
        if (!element) {
            return null;
        }
        const kind = element.dataset.part !== undefined ? 'part' : 'net';
        return {kind, name: element.dataset[kind], element};
    }

    document.addEventListener('click', (event) => {
        const target = targetOf(event);
        if (!target || report.dragging) {
            return;
        }
        const inside = event.target.closest('a, button');
        if (inside && inside.dataset.part === undefined && inside.dataset.net === undefined) {
            return;
        }
        if (inside) {
            event.preventDefault();
            history.replaceState(null, '', inside.getAttribute('href'));
        }
        choose(target.kind, target.name);
    });
    // Whoever walks the page by keyboard sees each part and net light up in passing.
    document.addEventListener('focusin', (event) => {
        if (event.target.matches('a:focus-visible') && !status.contains(event.target)) {
            const target = targetOf(event);
            if (target && target.element === event.target) {
                choose(target.kind, target.name);
            }
        }
    });
    document.getElementById('clear').addEventListener('click', clear);
    report.keys.set('Escape', clear);

    toCircuit.addEventListener('click', (event) => {
        event.preventDefault();
        report.show(inDrawing(chosen.kind, chosen.name));
    });

    // A link from outside: #part-R1 chooses R1 and shows it in the circuit. Names may stand in it
    // as the page's own links spell them or plainly.
    function followHash() {
        let plain = location.hash;
        try {
            plain = decodeURIComponent(plain);
        } catch {
            // no text in percent signs: take it as it is
        }
        for (const kind of ['part', 'net']) {
            for (const [name, elements] of places[kind]) {
                if (plain === `#${kind}-${name}` || elements.some((element) =>
                        element.matches('a') && element.getAttribute('href') === location.hash)) {
                    choose(kind, name);
                    report.show(inDrawing(kind, name));
                    return;
                }
            }
        }
    }
    report.choose = choose;
    report.elementsOf = elementsOf;
    report.chosen = () => chosen;
    window.addEventListener('hashchange', followHash);
    window.addEventListener('load', followHash);
})();
