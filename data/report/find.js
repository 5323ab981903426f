// The search box: finds parts, nets, findings and figures by any word about them.
(() => {
    const input = document.getElementById('find');
    const list = document.getElementById('found');
    const limit = 12;
    const facts = report.facts;
    const entries = [
        ...facts.parts.map(([name, what, , row]) => ({name, what, kind: 'part', goal: row})),
        ...facts.nets.map(([name, what, , row]) => ({name, what: what ? 'net, ' + what : 'net', kind: 'net', goal: row})),
        ...facts.findings.map(([title, severity, goal]) => ({name: title, what: severity, kind: 'finding', goal})),
        ...facts.figures.map(([title, result, goal]) => ({name: title, what: result, kind: 'figure', goal})),
    ].map((entry) => ({...entry, words: (entry.name + ' ' + entry.what).toLowerCase()}));
    let hits = [];
    let active = -1;

    // The name itself first, then names that begin so, then any word.
    function rank(entry, asked) {
        const name = entry.name.toLowerCase();
        if (name === asked) {
            return 0;
        }
        if (name.startsWith(asked)) {
            return 1;
        }
        return asked.split(/\s+/).every((word) => entry.words.includes(word)) ? 2 : -1;
    }

    function close() {
        list.hidden = true;
        input.setAttribute('aria-expanded', 'false');
        input.removeAttribute('aria-activedescendant');
        active = -1;
    }

    function activate(index) {
        active = index;
        [...list.children].forEach((item, i) => item.setAttribute('aria-selected', String(i === active)));
        const item = list.children[active];
        if (item) {
            input.setAttribute('aria-activedescendant', item.id);
            item.scrollIntoView({block: 'nearest'});
        }
    }

    function show() {
        const asked = input.value.trim().toLowerCase();
        hits = asked === '' ? [] : entries
            .map((entry, i) => ({entry, i, rank: rank(entry, asked)}))
            .filter((hit) => hit.rank >= 0)
            .sort((a, b) => a.rank - b.rank || a.i - b.i)
            .slice(0, limit).map((hit) => hit.entry);
        list.replaceChildren(...hits.map((hit, i) => {
            const item = document.createElement('li');
            item.id = 'found-' + i;
            item.setAttribute('role', 'option');
            const name = document.createElement('strong');
            name.textContent = hit.name;
            const what = document.createElement('span');
            what.textContent = hit.what;
            item.append(name, what);
            item.addEventListener('pointerdown', (event) => event.preventDefault());
            item.addEventListener('click', () => go(hit));
            return item;
        }));
        if (asked !== '' && hits.length === 0) {
            const none = document.createElement('li');
            none.className = 'none';
            none.textContent = 'Nothing on this page is called that.';
            list.append(none);
        }
        list.hidden = asked === '';
        input.setAttribute('aria-expanded', String(asked !== ''));
        activate(hits.length > 0 ? 0 : -1);
    }

    function go(hit) {
        close();
        input.blur();
        const goal = document.getElementById(hit.goal);
        if (hit.kind === 'part' || hit.kind === 'net') {
            report.choose(hit.kind, hit.name);
        }
        if (goal) {
            if (goal.matches('details')) {
                goal.open = true;
            }
            goal.scrollIntoView({block: 'center'});
            const link = goal.querySelector('summary, a') || goal;
            link.focus({preventScroll: true});
        }
    }

    input.addEventListener('input', show);
    input.addEventListener('focus', () => { input.select(); show(); });
    input.addEventListener('blur', close);
    input.addEventListener('keydown', (event) => {
        if (event.key === 'ArrowDown' || event.key === 'ArrowUp') {
            event.preventDefault();
            const by = event.key === 'ArrowDown' ? 1 : -1;
            if (hits.length > 0) {
                activate((active + by + hits.length) % hits.length);
            }
        } else if (event.key === 'Enter' && hits[active]) {
            event.preventDefault();
            go(hits[active]);
        } else if (event.key === 'Escape') {
            event.stopPropagation();
            if (input.value !== '') {
                input.value = '';
                show();
            } else {
                input.blur();
            }
        }
    });
    report.keys.set('/', (event) => {
        event.preventDefault();
        input.focus();
    });
})();
