// What the other scripts share, and the switch for light and dark.
'use strict';
const report = {
    facts: JSON.parse(document.getElementById('facts').textContent),
    // Handlers of the keys that work anywhere but in a field: key -> function.
    keys: new Map(),
};

document.addEventListener('keydown', (event) => {
    const typing = event.target.closest('input, textarea, select');
    if (event.ctrlKey || event.metaKey || event.altKey || (typing && event.key !== 'Escape')) {
        return;
    }
    const handler = report.keys.get(event.key);
    if (handler) {
        handler(event);
    }
});

// Only cells with overlong words may break them: if all might, narrow columns would break names.
for (const element of document.querySelectorAll('main th, main td, main a, main dd')) {
    if (element.textContent.split(/\s+/).some((word) => word.length > 24)) {
        element.classList.add('long');
    }
}

// What is folded opens for paper and for whoever follows a link into it.
(() => {
    const all = [...document.querySelectorAll('details')];
    const figures = all.filter((details) => details.matches('.figure'));
    const unfold = document.getElementById('unfold');
    const follow = () => {
        let goal = null;
        try {
            goal = document.getElementById(decodeURIComponent(location.hash.slice(1)));
        } catch {
            // no text in percent signs: it leads nowhere
        }
        if (goal && goal.matches('details')) {
            goal.open = true;
        }
    };
    if (unfold) {
        unfold.addEventListener('click', () => {
            const open = figures.some((figure) => !figure.open);
            figures.forEach((figure) => { figure.open = open; });
        });
        document.addEventListener('toggle', () => {
            unfold.textContent = figures.every((figure) => figure.open) ? 'Close all lines' : 'Open all lines';
        }, true);
    }
    let opened = [];
    window.addEventListener('beforeprint', () => {
        opened = all.filter((details) => !details.open);
        opened.forEach((details) => { details.open = true; });
    });
    window.addEventListener('afterprint', () => opened.forEach((details) => { details.open = false; }));
    window.addEventListener('hashchange', follow);
    window.addEventListener('load', follow);
})();

(() => {
    const button = document.getElementById('theme');
    const names = {auto: 'as the system', light: 'light', dark: 'dark'};
    const order = ['auto', 'light', 'dark'];
    let now = 'auto';
    button.addEventListener('click', () => {
        now = order[(order.indexOf(now) + 1) % order.length];
        if (now === 'auto') {
            delete document.documentElement.dataset.theme;
        } else {
            document.documentElement.dataset.theme = now;
        }
        button.textContent = 'Colours: ' + names[now];
    });
})();
