// Zooming and moving the circuit by mouse, touch, keys and buttons.
(() => {
    const view = document.getElementById('view');
    const drawing = view.querySelector('svg');
    if (!drawing) {
        report.show = () => {};
        return;
    }
    document.getElementById('tools').hidden = false;
    view.classList.add('ready');
    const most = 12;
    let scale = 1, x = 0, y = 0;

    // One stop of the Tab key for the whole drawing; N and P step through what is in it.
    for (const thing of drawing.querySelectorAll('[data-part], [data-net]')) {
        thing.setAttribute('tabindex', '-1');
        thing.setAttribute('role', 'button');
        thing.setAttribute('aria-label', thing.querySelector('title')?.textContent || '');
    }

    function keepInside() {
        const width = view.clientWidth, height = view.clientHeight;
        x = Math.min(0, Math.max(width - width * scale, x));
        y = Math.min(0, Math.max(height - height * scale, y));
    }
    function apply() {
        keepInside();
        drawing.style.transform = scale === 1 ? '' : `translate(${x}px, ${y}px) scale(${scale})`;
        view.classList.toggle('zoomed', scale > 1);
    }
    // The point px, py of the view stays where it is.
    function zoomTo(wanted, px = view.clientWidth / 2, py = view.clientHeight / 2) {
        const next = Math.min(most, Math.max(1, wanted));
        x = px - (px - x) * next / scale;
        y = py - (py - y) * next / scale;
        scale = next;
        apply();
    }
    function reset() {
        scale = 1;
        x = y = 0;
        apply();
    }
    document.getElementById('zoom-in').addEventListener('click', () => zoomTo(scale * 1.5));
    document.getElementById('zoom-out').addEventListener('click', () => zoomTo(scale / 1.5));
    document.getElementById('zoom-reset').addEventListener('click', reset);

    const at = (event) => {
        const box = view.getBoundingClientRect();
        return [event.clientX - box.left, event.clientY - box.top];
    };
    view.addEventListener('wheel', (event) => {
        if (!event.ctrlKey && !event.metaKey) {
            return;  // the page scrolls as everywhere
        }
        event.preventDefault();
        zoomTo(scale * Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.003)), ...at(event));
    }, {passive: false});

    // One pointer drags, two pinch. A press that moved is no click on a part.
    const pointers = new Map();
    let moved = 0;
    const spread = () => {
        const [a, b] = [...pointers.values()];
        return Math.hypot(a[0] - b[0], a[1] - b[1]);
    };
    view.addEventListener('pointerdown', (event) => {
        pointers.set(event.pointerId, at(event));
        moved = 0;
    });
    view.addEventListener('pointermove', (event) => {
        const before = pointers.get(event.pointerId);
        if (!before) {
            return;
        }
        const now = at(event);
        const apart = pointers.size === 2 ? spread() : 0;
        pointers.set(event.pointerId, now);
        moved += Math.hypot(now[0] - before[0], now[1] - before[1]);
        if (pointers.size === 2 && apart > 0) {
            const [a, b] = [...pointers.values()];
            zoomTo(scale * spread() / apart, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2);
        } else if (scale > 1 && moved > 4) {
            view.setPointerCapture(event.pointerId);
            view.classList.add('dragged');
            x += now[0] - before[0];
            y += now[1] - before[1];
            apply();
        }
    });
    for (const end of ['pointerup', 'pointercancel']) {
        view.addEventListener(end, (event) => {
            pointers.delete(event.pointerId);
            view.classList.remove('dragged');
        });
    }
    view.addEventListener('pointerleave', (event) => pointers.delete(event.pointerId));
    view.addEventListener('click', (event) => {
        if (scale > 1 && moved > 4) {
            event.stopPropagation();
        }
    }, true);

    function step(by) {
        const names = report.facts.parts.map(([name]) => name)
            .filter((name) => report.elementsOf('part', name).some((e) => drawing.contains(e)));
        const now = report.chosen();
        const from = now && now.kind === 'part' ? names.indexOf(now.name) : (by > 0 ? -1 : 0);
        if (names.length > 0) {
            report.choose('part', names[(from + by + names.length) % names.length]);
        }
    }
    const keys = {
        'ArrowLeft': () => { x += 60; apply(); }, 'ArrowRight': () => { x -= 60; apply(); },
        'ArrowUp': () => { y += 60; apply(); }, 'ArrowDown': () => { y -= 60; apply(); },
        '+': () => zoomTo(scale * 1.5), '=': () => zoomTo(scale * 1.5), '-': () => zoomTo(scale / 1.5),
        '0': reset, 'n': () => step(1), 'p': () => step(-1),
    };
    view.addEventListener('keydown', (event) => {
        const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
        const arrows = event.key.startsWith('Arrow');
        if (plain && keys[event.key] && (!arrows || scale > 1)) {
            event.preventDefault();
            keys[event.key]();
        }
    });

    // Scrolls to the circuit and, where it is drawn small, zooms to what was chosen.
    report.show = (elements) => {
        const calm = matchMedia('(prefers-reduced-motion: reduce)').matches;
        document.getElementById('circuit').scrollIntoView({behavior: calm ? 'auto' : 'smooth'});
        if (elements.length === 0) {
            return;
        }
        reset();
        const drawn = drawing.getBoundingClientRect();
        const shrink = drawn.width / drawing.viewBox.baseVal.width;
        if (shrink < 0.75) {
            const box = elements[0].getBoundingClientRect();
            const cx = box.left + box.width / 2 - drawn.left;
            const cy = box.top + box.height / 2 - drawn.top;
            zoomTo(1 / shrink, cx, cy);
            x += view.clientWidth / 2 - cx;
            y += view.clientHeight / 2 - cy;
            apply();
        }
    };
    window.addEventListener('resize', apply);

    // A small window on the chosen thing, while the circuit is out of sight.
    const peek = document.getElementById('peek');
    let visible = false, shown = null;
    function drawPeek() {
        peek.hidden = visible || !shown;
        if (peek.hidden) {
            return;
        }
        const all = drawing.viewBox.baseVal;
        const box = shown.getBBox();
        const width = Math.min(all.width, Math.max(360, box.width + 120));
        const height = width * 0.6;
        const left = box.x + box.width / 2 - width / 2, top = box.y + box.height / 2 - height / 2;
        const small = drawing.cloneNode(true);
        small.removeAttribute('style');
        small.removeAttribute('width');
        small.removeAttribute('height');
        small.removeAttribute('role');
        small.setAttribute('aria-hidden', 'true');
        small.setAttribute('viewBox', `${left} ${top} ${width} ${height}`);
        for (const element of small.querySelectorAll('g')) {
            ['id', 'data-part', 'data-net', 'tabindex', 'role', 'aria-label']
                .forEach((name) => element.removeAttribute(name));
        }
        peek.replaceChildren(small);
    }
    new IntersectionObserver((entries) => {
        visible = entries[entries.length - 1].isIntersecting;
        drawPeek();
    }, {threshold: 0.25}).observe(view);
    document.addEventListener('chosen', (event) => {
        shown = event.detail && event.detail.drawn.length > 0 ? event.detail.drawn[0] : null;
        drawPeek();
    });
    peek.addEventListener('click', () => document.getElementById('to-circuit').click());
})();
