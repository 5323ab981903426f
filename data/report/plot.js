// Waveforms that answer: a cursor with the value of every curve, zoom in time, marks. Without this
// script the pictures that the program drew stand in the page; it draws the same ones again, from
// the numbers, at the width there is. Measures and ticks are those of src/report.
(() => {
    const NBSP = '\u00a0', MINUS = '\u2212';
    const textSize = 12.5, nameSize = 13, nameHeight = 20, gap = 10, axisHeight = 44, edge = 8;
    const marksHeight = 20, leastGutter = 40, edgeTextHeight = 13.5;
    const ns = 'http://www.w3.org/2000/svg';
    const ruler = document.createElement('canvas').getContext('2d');
    const font = getComputedStyle(document.documentElement).getPropertyValue('--sans') || 'sans-serif';

    function widthOf(text, size, bold) {
        ruler.font = `${bold ? 'bold ' : ''}${size}px ${font}`;
        return ruler.measureText(text).width;
    }

    // Numbers as people read them.
    const prefixes = ['p', 'n', 'µ', 'm', '', 'k', 'M', 'G'];
    const clamp = (value, low, high) => Math.min(high, Math.max(low, value));
    const thousandsOf = (value) => clamp(Math.floor(Math.floor(Math.log10(Math.abs(value)) + 1e-9) / 3), -4, 3);

    // As ticks_in() of src/report/ticks.cpp.
    function ticksIn(low, high, most, prefixed) {
        const ticks = {values: [], step: 0, thousands: 0, decimals: 0};
        const range = high - low;
        if (!(range > 0) || !isFinite(range) || most < 1) {
            return ticks;
        }
        let mantissa = 1, exponent = Math.floor(Math.log10(range / most)) - 1;
        const times = (k) => exponent < 0 ? k * mantissa / 10 ** -exponent : k * mantissa * 10 ** exponent;
        const first = () => Math.ceil(low / times(1) - 1e-9);
        const last = () => Math.floor(high / times(1) + 1e-9);
        while (last() - first() + 1 > most) {
            if (mantissa === 5) {
                mantissa = 1;
                exponent += 1;
            } else {
                mantissa = mantissa === 1 ? 2 : 5;
            }
        }
        ticks.step = times(1);
        for (let k = first(); k <= last(); k += 1) {
            ticks.values.push(times(k === 0 ? 0 : k));
        }
        const largest = ticks.values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
        if (prefixed && largest > 0) {
            ticks.thousands = thousandsOf(largest);
        }
        ticks.decimals = Math.max(0, 3 * ticks.thousands - exponent);
        return ticks;
    }
    const withUnit = (number, unit) => unit ? number + NBSP + unit : number;
    function tickText(value, ticks, symbol) {
        if (Math.abs(value) < 1e-9 * ticks.step) {
            return '0';
        }
        const scaled = Math.abs(value) / 1000 ** ticks.thousands;
        return (value < 0 ? MINUS : '') + withUnit(scaled.toFixed(ticks.decimals), prefixes[ticks.thousands + 4] + symbol);
    }
    // To `digits` significant digits, without zeros behind the last that counts.
    function valueText(value, curve, scale, digits) {
        if (Math.abs(value) < 1e-6 * scale || value === 0) {
            return withUnit('0', curve.symbol);
        }
        let size = Number(Math.abs(value).toPrecision(digits));
        const thousands = curve.prefixed ? thousandsOf(size) : 0;
        size /= 1000 ** thousands;
        return (value < 0 ? MINUS : '') +
            withUnit(String(Number(size.toPrecision(digits))), prefixes[thousands + 4] + curve.symbol);
    }
    const second = {symbol: 's', prefixed: true};

    // Data as src/report/plot_data.cpp packs them.
    function unpacked(text, bytes) {
        const raw = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
        const view = new DataView(raw.buffer);
        const all = new Float64Array(raw.length / bytes);
        for (let i = 0; i < all.length; ++i) {
            all[i] = bytes === 2 ? view.getUint16(2 * i, true) / 0xffff : view.getUint32(4 * i, true) / 0xffffffff;
        }
        return all;
    }
    function ready(curve) {
        const span = curve.largest - curve.least;
        const values = (text) => unpacked(text, 2).map((share) => curve.least + share * span);
        if (curve.mean !== undefined) {
            return Object.assign(curve, {envelope: true, low: values(curve.low), high: values(curve.high), mean: values(curve.mean)});
        }
        return Object.assign(curve, {
            t: unpacked(curve.t, 4).map((share) => curve.from + share * (curve.to - curve.from)), v: values(curve.v)});
    }

    // First index whose time is not before t.
    function indexAt(times, t) {
        let low = 0, high = times.length;
        while (low < high) {
            const middle = (low + high) >> 1;
            if (times[middle] < t) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        return low;
    }
    // What a curve says at an instant: {low, high, mean} or {mean}.
    function at(curve, t) {
        if (curve.envelope) {
            const i = clamp(Math.floor((t - curve.start) / curve.cell), 0, curve.mean.length - 1);
            return {low: curve.low[i], high: curve.high[i], mean: curve.mean[i]};
        }
        const i = clamp(indexAt(curve.t, t), 0, curve.t.length - 1);
        if (i === 0 || curve.t[i] <= curve.t[i - 1]) {
            return {mean: curve.v[i]};
        }
        const share = clamp((t - curve.t[i - 1]) / (curve.t[i] - curve.t[i - 1]), 0, 1);
        return {mean: curve.v[i - 1] + share * (curve.v[i] - curve.v[i - 1])};
    }
    // Least, largest and mean between two instants.
    function reach(curve, from, to) {
        let low = Infinity, high = -Infinity, sum = 0, weight = 0;
        if (curve.envelope) {
            const last = clamp(Math.floor((to - curve.start) / curve.cell - 1e-9), 0, curve.mean.length - 1);
            for (let i = clamp(Math.floor((from - curve.start) / curve.cell + 1e-9), 0, last); i <= last; ++i) {
                low = Math.min(low, curve.low[i]);
                high = Math.max(high, curve.high[i]);
                sum += curve.mean[i];
                weight += 1;
            }
            return {low, high, mean: sum / weight};
        }
        const note = (value) => {
            low = Math.min(low, value);
            high = Math.max(high, value);
        };
        let t = from, v = at(curve, from).mean;
        note(v);
        const step = (t1, v1) => {
            note(v1);
            sum += (t1 - t) * (v + v1) / 2;
            weight += t1 - t;
            [t, v] = [t1, v1];
        };
        for (let i = indexAt(curve.t, from); i < curve.t.length && curve.t[i] <= to; ++i) {
            step(curve.t[i], curve.v[i]);
        }
        if (to > t) {
            step(to, at(curve, to).mean);
        }
        return {low, high, mean: weight > 0 ? sum / weight : v};
    }
    // As extent_of() of src/report/curve.cpp.
    function extentOf({low, high}) {
        const farthest = Math.max(Math.abs(low), Math.abs(high));
        if (high - low >= 0.25 * farthest) {
            low = Math.min(low, 0);
            high = Math.max(high, 0);
        }
        const least = farthest > 0 ? 1e-3 * farthest : 1;
        if (high - low < least) {
            const middle = (low + high) / 2;
            [low, high] = [middle - least / 2, middle + least / 2];
        }
        const air = 0.06 * (high - low);
        return {low: low - air, high: high + air};
    }

    function node(name, attributes, text) {
        const element = document.createElementNS(ns, name);
        for (const [key, value] of Object.entries(attributes)) {
            element.setAttribute(key, value);
        }
        if (text !== undefined) {
            element.textContent = text;
        }
        return element;
    }
    const px = (value) => String(Number(value.toFixed(1)));
    function shortened(text, size, room, bold) {
        if (widthOf(text, size, bold) <= room) {
            return text;
        }
        const letters = [...text];
        while (letters.length > 0 && widthOf(letters.join('') + '…', size, bold) > room) {
            letters.pop();
        }
        return letters.join('') + '…';
    }

    class Plot {
        constructor(figure, data) {
            this.figure = figure;
            this.data = data;
            this.curves = data.curves.map(ready);
            this.whole = this.curves.map((curve) => reach(curve, data.start, data.end));
            this.from = data.start;
            this.to = data.end;
            this.fit = false;
            this.cursor = null;
            this.mark = null;
            this.view = figure.querySelector('.plot-view');
            this.still = this.view.querySelector('svg');
            this.still.classList.add('still');
            this.said = figure.querySelector('.plot-said');
            this.live = node('svg', {class: 'plot live', role: 'img'});
            this.live.setAttribute('aria-hidden', 'true');
            this.view.append(this.live);
            this.view.classList.add('ready');
            this.view.tabIndex = 0;
            this.view.setAttribute('role', 'group');
            this.view.setAttribute('aria-label', `${data.title}: ${this.curves.map((c) => c.title).join(', ')}. ` +
                'Arrow keys move the cursor and tell the values, plus and minus zoom, 0 shows the whole, M sets a mark, F fits heights.');
            figure.querySelector('.plot-tools').hidden = false;
            this.listen();
            new ResizeObserver(() => this.draw()).observe(this.view);
        }

        get span() { return this.to - this.from; }
        x(t) { return this.left + (this.right - this.left) * (t - this.from) / this.span; }
        t(x) { return this.from + this.span * clamp((x - this.left) / (this.right - this.left), 0, 1); }

        // Where everything stands, as frame_of() of src/report/detail/plot_panel.cpp.
        layOut(width) {
            const {data} = this;
            const top = data.marks.length > 0 ? marksHeight : 0;
            const height = this.curves.length <= 2 ? 130 : this.curves.length <= 4 ? 98 : 80;
            let y = top, left = leastGutter, right = leastGutter;
            this.panels = this.curves.map((curve, i) => {
                const reached = reach(curve, this.from, this.to);
                const extent = extentOf(this.fit ? reached : this.whole[i]);
                const panel = {curve, reached, extent, top: y + nameHeight, bottom: y + nameHeight + height};
                panel.y = (value) => panel.bottom - height * (value - extent.low) / (extent.high - extent.low);
                y = panel.bottom + gap;
                panel.ticks = ticksIn(extent.low, extent.high, Math.floor(height / 24), curve.prefixed);
                panel.edges = this.edgesOf(panel);
                for (const tick of panel.ticks.values) {
                    left = Math.max(left, widthOf(tickText(tick, panel.ticks, curve.symbol), textSize));
                }
                for (const one of panel.edges) {
                    right = Math.max(right, widthOf(one.text, textSize));
                }
                return panel;
            });
            this.left = Math.ceil(left) + 2 * edge;
            this.right = width - Math.ceil(right) - 2 * edge - 4;
            this.axisY = y - gap;
            this.height = this.axisY + axisHeight;
            this.time = ticksIn(this.from - data.start, this.to - data.start,
                Math.max(2, Math.floor((this.right - this.left) / (this.span < (data.end - data.start) / 500 ? 96 : 64))), true);
        }
        edgesOf(panel) {
            const {curve, reached, extent} = panel;
            const scale = extent.high - extent.low;
            const words = (value) => valueText(value, curve, scale, 3);
            const add = (what, value) => ({text: `${what} ${words(value)}`, y: panel.y(value)});
            let edges = [add('max', reached.high), add('min', reached.low)];
            if (words(reached.low) === words(reached.high)) {
                edges = [add('is', reached.mean)];
            } else if (this.data.means && Math.abs(reached.mean) > 0.02 * (reached.high - reached.low)) {
                edges.splice(1, 0, add('mean', reached.mean));
            }
            let least = panel.top + edgeTextHeight / 2;
            for (const one of edges) {
                one.textY = Math.max(one.y, least);
                least = one.textY + edgeTextHeight;
            }
            let most = panel.bottom - edgeTextHeight / 2;
            for (const one of [...edges].reverse()) {
                one.textY = Math.min(one.textY, most);
                most = one.textY - edgeTextHeight;
            }
            return edges;
        }

        draw() {
            const width = this.view.clientWidth;
            if (width < 200) {
                return;  // folded away
            }
            this.layOut(width);
            const {live} = this;
            live.setAttribute('width', width);
            live.setAttribute('height', px(this.height));
            live.setAttribute('viewBox', `0 0 ${width} ${px(this.height)}`);
            live.replaceChildren(...this.panels.map((panel) => this.panelNode(panel)), ...this.axisNodes(), this.marksNode());
            this.over = node('g', {class: 'over'});
            live.append(this.over);
            this.drawCursor();
        }
        text(x, y, words, type, anchor) {
            const element = node('text', {class: type, x: px(x), y: px(y)}, words);
            if (anchor) {
                element.setAttribute('text-anchor', anchor);
            }
            return element;
        }
        panelNode(panel) {
            const {curve} = panel;
            const group = node('g', {class: 'panel ' + curve.tone});
            const room = this.right - this.left;
            group.append(this.text(this.left, panel.top - 6, shortened(curve.title, nameSize, room, true), 'name'));
            let grid = '', zero = '';
            for (const tick of panel.ticks.values) {
                const line = `M${px(this.left)} ${px(panel.y(tick))}H${px(this.right)}`;
                tick === 0 ? zero += line : grid += line;
            }
            for (const tick of this.time.values) {
                grid += `M${px(this.x(this.data.start + tick))} ${px(panel.top)}V${px(panel.bottom)}`;
            }
            group.append(node('path', {class: 'grid', d: grid}));
            if (zero) {
                group.append(node('path', {class: 'zero', d: zero}));
            }
            group.append(node('path', {class: 'frame', d: `M${px(this.left)} ${px(panel.top)}V${px(panel.bottom)}`}));
            group.append(...(curve.envelope ? this.envelopeNodes(panel) : [this.lineNode(panel)]));
            for (const tick of panel.ticks.values) {
                const y = clamp(panel.y(tick) + 0.36 * textSize, panel.top + 0.6 * textSize, panel.bottom + 1);
                group.append(this.text(this.left - edge + 1, y, tickText(tick, panel.ticks, curve.symbol), 'tick', 'end'));
            }
            for (const one of panel.edges) {
                const words = node('g', {class: 'edge'});
                words.append(node('path', {d: `M${px(this.right + 2)} ${px(one.y)}h4L${px(this.right + edge + 2)} ${px(one.textY)}`}));
                words.append(this.text(this.right + edge + 4, one.textY + 0.36 * textSize, one.text, 'words'));
                group.append(words);
            }
            return group;
        }
        envelopeNodes(panel) {
            const {curve} = panel;
            const first = clamp(Math.floor((this.from - curve.start) / curve.cell - 0.5), 0, curve.mean.length - 1);
            const last = clamp(Math.ceil((this.to - curve.start) / curve.cell + 0.5), 0, curve.mean.length - 1);
            const group = Math.max(1, Math.ceil((last - first + 1) / Math.max(1, this.right - this.left)));
            let there = '', back = '', line = '';
            for (let i = first; i <= last; i += group) {
                let low = Infinity, high = -Infinity, sum = 0, count = 0;
                for (let k = i; k < Math.min(i + group, last + 1); ++k, ++count) {
                    low = Math.min(low, curve.low[k]);
                    high = Math.max(high, curve.high[k]);
                    sum += curve.mean[k];
                }
                const x = px(clamp(this.x(curve.start + (i + group / 2) * curve.cell), this.left, this.right));
                there += `${there ? 'L' : 'M'}${x} ${px(panel.y(high))}`;
                back = `L${x} ${px(panel.y(low))}` + back;
                line += `${line ? 'L' : 'M'}${x} ${px(panel.y(sum / count))}`;
            }
            const clip = this.clipOf(panel);
            return [clip, node('path', {class: 'band', d: there + back + 'z', 'clip-path': `url(#${clip.id})`}),
                node('path', {class: 'line', d: line, 'clip-path': `url(#${clip.id})`})];
        }
        lineNode(panel) {
            const {curve} = panel;
            const points = [[this.from, at(curve, this.from).mean]];
            for (let i = indexAt(curve.t, this.from); i < curve.t.length && curve.t[i] <= this.to; ++i) {
                points.push([curve.t[i], curve.v[i]]);
            }
            points.push([this.to, at(curve, this.to).mean]);
            // First, least, largest and last of each column of pixels: no peak is lost.
            let d = '';
            for (let i = 0; i < points.length;) {
                const column = Math.floor(this.x(points[i][0]));
                let next = i + 1, least = i, largest = i;
                for (; next < points.length && Math.floor(this.x(points[next][0])) === column; ++next) {
                    least = points[next][1] < points[least][1] ? next : least;
                    largest = points[next][1] > points[largest][1] ? next : largest;
                }
                const kept = next - i <= 4 ? [...Array(next - i).keys()].map((k) => i + k)
                    : [...new Set([i, Math.min(least, largest), Math.max(least, largest), next - 1])];
                for (const k of kept) {
                    d += `${d ? 'L' : 'M'}${px(this.x(points[k][0]))} ${px(panel.y(points[k][1]))}`;
                }
                i = next;
            }
            return node('path', {class: 'line', d});
        }
        clipOf(panel) {
            const clip = node('clipPath', {id: `clip-${this.figure.dataset.plot}-${this.panels ? this.curves.indexOf(panel.curve) : 0}`});
            clip.append(node('rect', {x: px(this.left), y: px(panel.top - 2), width: px(this.right - this.left), height: px(panel.bottom - panel.top + 4)}));
            return clip;
        }
        axisNodes() {
            const {data} = this;
            let line = `M${px(this.left)} ${px(this.axisY)}H${px(this.right)}`;
            const texts = this.time.values.map((tick) => {
                const x = this.x(data.start + tick);
                line += `M${px(x)} ${px(this.axisY)}v4`;
                return this.text(x, this.axisY + 17, tickText(tick, this.time, 's'), 'tick', 'middle');
            });
            return [node('path', {class: 'frame', d: line}), ...texts, this.text(this.left, this.axisY + 35, this.timeWords(), 'tick')];
        }
        timeWords() {
            const {start, end} = this.data;
            return Math.abs(start) < 1e-9 * (end - start) ? 'Time' : `Time from ${valueText(start, second, 0, 6)} on`;
        }
        marksNode() {
            const group = node('g', {class: 'mark'});
            const marks = this.data.marks.filter(([t]) => t >= this.from && t <= this.to).sort((a, b) => a[0] - b[0]);
            let lines = '';
            for (let i = 0; i < marks.length;) {
                const x = this.x(marks[i][0]);
                let next = i + 1;
                while (next < marks.length && this.x(marks[next][0]) - x < 44) {
                    ++next;
                }
                for (let k = i; k < next; ++k) {
                    lines += `M${px(this.x(marks[k][0]))} 14V${px(this.axisY)}`;
                }
                const words = marks[i][1] + (next - i > 1 ? '\u2013' + marks[next - 1][1] : '');
                group.append(this.text(x, 10, words, 'number', 'middle'));
                i = next;
            }
            group.prepend(node('path', {class: 'lines', d: lines}));
            return group;
        }

        // Values stand in the line of each panel's name; the difference to the mark beside them.
        drawCursor() {
            if (!this.over) {
                return;
            }
            this.over.replaceChildren();
            if (this.chosen) {
                const [a, b] = this.chosen;
                this.over.append(node('rect', {class: 'chosen-span', x: px(Math.min(a, b)), y: px(this.panels[0].top),
                    width: px(Math.abs(b - a)), height: px(this.axisY - this.panels[0].top)}));
            }
            const lineAt = (t, type) => this.over.append(node('path', {class: type, d: `M${px(this.x(t))} ${px(this.panels[0].top)}V${px(this.axisY)}`}));
            if (this.mark !== null && this.mark >= this.from && this.mark <= this.to) {
                lineAt(this.mark, 'noted');
            }
            if (this.cursor === null) {
                return;
            }
            lineAt(this.cursor, 'cursor');
            for (const panel of this.panels) {
                const group = node('g', {class: panel.curve.tone});
                group.append(node('circle', {class: 'dot', cx: px(this.x(this.cursor)), cy: px(panel.y(at(panel.curve, this.cursor).mean)), r: 3.5}));
                this.ontop(group, this.right, panel.top - 6, this.valueAt(panel), 'end');
                this.over.append(group);
            }
            // In the line below the ticks, beside the words that stand there.
            const words = this.timeAt(), half = widthOf(words, textSize, true) / 2;
            const free = this.left + widthOf(this.timeWords(), textSize) + 10;
            const x = Math.max(free + half, Math.min(this.x(this.cursor), this.view.clientWidth - half - 4));
            this.ontop(this.over, x, this.axisY + 35, words, 'middle');
        }
        ontop(group, x, y, words, anchor) {
            const width = widthOf(words, textSize, true) + 8;
            group.append(node('rect', {class: 'reading-ground', x: px(anchor === 'end' ? x - width + 4 : x - width / 2), y: px(y - 12), width: px(width), height: 16}));
            group.append(this.text(x, y, words, 'reading', anchor));
        }
        scaleOf(panel) { return panel.extent.high - panel.extent.low; }
        valueAt(panel) {
            const {curve} = panel;
            const now = at(curve, this.cursor), scale = this.scaleOf(panel);
            const words = (value) => valueText(value, curve, scale, 4);
            let text = words(now.mean);
            if (curve.envelope && words(now.low) !== words(now.high)) {
                text = `${words(now.low)} to ${words(now.high)}, mean ${text}`;
            }
            if (this.mark !== null) {
                const away = now.mean - at(curve, this.mark).mean;
                text += ` (${away < 0 ? '' : '+'}${words(away)})`;
            }
            return text;
        }
        timeAt() {
            let text = valueText(this.cursor - this.data.start, second, this.data.end - this.data.start, 5);
            if (this.mark !== null) {
                const away = this.cursor - this.mark;
                text += ` (${away < 0 ? '' : '+'}${valueText(away, second, this.span, 4)}`;
                text += away !== 0 ? `, ${valueText(1 / Math.abs(away), {symbol: 'Hz', prefixed: true}, 0, 4)})` : ')';
            }
            return text;
        }
        say() {
            this.said.textContent = this.cursor === null ? '' : `At ${this.timeAt()}: ` +
                this.panels.map((panel) => `${panel.curve.title} ${this.valueAt(panel)}`).join('; ');
        }

        show(from, to) {
            const {data} = this;
            const whole = data.end - data.start;
            const least = whole / 20000;
            const span = clamp(to - from, least, whole);
            this.from = clamp((from + to - span) / 2, data.start, data.end - span);
            this.to = this.from + span;
            if (span === whole) {
                [this.from, this.to] = [data.start, data.end];
            }
            this.draw();
        }
        zoom(factor, about = this.cursor ?? (this.from + this.to) / 2) {
            const t = clamp(about, this.from, this.to);
            this.show(t - (t - this.from) / factor, t + (this.to - t) / factor);
        }
        reset() { this.show(this.data.start, this.data.end); }
        moveCursor(t, speak) {
            this.cursor = clamp(t, this.data.start, this.data.end);
            if (this.cursor < this.from || this.cursor > this.to) {
                this.show(this.cursor - this.span / 2, this.cursor + this.span / 2);
            }
            this.drawCursor();
            if (speak) {
                this.say();
            }
        }
        setMark() {
            this.mark = this.mark === null || this.mark !== this.cursor ? this.cursor : null;
            this.drawCursor();
            this.say();
        }
        toggleFit() {
            this.fit = !this.fit;
            this.figure.querySelector('.plot-fit').setAttribute('aria-pressed', String(this.fit));
            this.draw();
        }

        listen() {
            const find = (name) => this.figure.querySelector(name);
            find('.plot-in').addEventListener('click', () => this.zoom(2));
            find('.plot-out').addEventListener('click', () => this.zoom(0.5));
            find('.plot-whole').addEventListener('click', () => this.reset());
            find('.plot-fit').addEventListener('click', () => this.toggleFit());
            const xOf = (event) => event.clientX - this.live.getBoundingClientRect().left;
            const view = this.view;
            let press = null;
            view.addEventListener('pointerdown', (event) => {
                if (event.button === 0 && this.panels) {
                    press = xOf(event);
                    view.setPointerCapture(event.pointerId);
                }
            });
            view.addEventListener('pointermove', (event) => {
                if (!this.panels) {
                    return;
                }
                const x = xOf(event);
                if (press !== null && Math.abs(x - press) > 4) {
                    this.chosen = [clamp(press, this.left, this.right), clamp(x, this.left, this.right)];
                }
                this.moveCursor(this.t(x), false);
            });
            view.addEventListener('pointerup', (event) => {
                if (press === null) {
                    return;
                }
                const chosen = this.chosen;
                press = this.chosen = null;
                if (chosen && Math.abs(chosen[1] - chosen[0]) > 4) {
                    const [a, b] = chosen.map((x) => this.t(x)).sort((p, q) => p - q);
                    this.show(a, b);
                } else {
                    this.moveCursor(this.t(xOf(event)), false);
                    this.setMark();
                }
            });
            view.addEventListener('pointercancel', () => {
                press = this.chosen = null;
                this.drawCursor();
            });
            view.addEventListener('pointerleave', (event) => {
                if (press === null && event.pointerType === 'mouse' && document.activeElement !== view) {
                    this.cursor = null;
                    this.drawCursor();
                }
            });
            view.addEventListener('dblclick', () => {
                this.mark = null;
                this.reset();
            });
            view.addEventListener('wheel', (event) => {
                if (event.ctrlKey || event.metaKey) {
                    event.preventDefault();
                    this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.003)), this.t(xOf(event)));
                }
            }, {passive: false});
            view.addEventListener('keydown', (event) => this.key(event));
        }
        key(event) {
            if (event.ctrlKey || event.metaKey || event.altKey || !this.panels) {
                return;
            }
            const step = this.span / (event.shiftKey ? 10 : 100);
            const now = this.cursor ?? (this.from + this.to) / 2;
            const keys = {
                'ArrowLeft': () => this.moveCursor(now - step, true), 'ArrowRight': () => this.moveCursor(now + step, true),
                'Home': () => this.moveCursor(this.from, true), 'End': () => this.moveCursor(this.to, true),
                '+': () => this.zoom(2), '=': () => this.zoom(2), '-': () => this.zoom(0.5), '0': () => this.reset(),
                'm': () => this.cursor !== null && this.setMark(), 'f': () => this.toggleFit(),
            };
            const does = keys[event.key.length === 1 ? event.key.toLowerCase() : event.key];
            if (does) {
                event.preventDefault();
                event.stopPropagation();
                does();
            } else if (event.key === 'Escape' && (this.mark !== null || this.cursor !== null)) {
                event.stopPropagation();
                this.mark = this.cursor = null;
                this.drawCursor();
                this.say();
            }
        }
    }

    const data = document.getElementById('plots');
    const plots = data ? JSON.parse(data.textContent) : [];
    report.plots = [...document.querySelectorAll('.plot-figure')].map((figure) => new Plot(figure, plots[figure.dataset.plot]));
})();
