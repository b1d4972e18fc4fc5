// Stacked panels of channels over one axis, with one cursor. The server holds the samples: a window is drawn at once
// from what is here and again when the finer lines arrive; figures under the cursor always come from the samples.
const WIDE = { panel: 104, inset: 8, foot: 26, label: 190 };
const NARROW = { panel: 122, inset: 46, foot: 44, label: 0 };
const HEAD_PX = 22; // gears above the first panel
const GUTTER_PX = 46; // figures of the y axes
const POINTS = 2000;

export default {
  template: '<div class="traces" tabindex="0" role="application"></div>',
  props: { config: Object },
  async mounted() {
    this.colours = this.readColours();
    this.build();
    const { echarts } = await import("nicegui-echart");
    this.chart = echarts.init(this.canvas, null, { renderer: "canvas" });
    this.resizer = new ResizeObserver(() => this.resize());
    this.resizer.observe(this.$el);
    this.window = [...this.config.window];
    this.bind();
    await this.rebuild();
    this.$el.dataset.ready = "yes";
  },
  beforeUnmount() {
    this.resizer?.disconnect();
    this.chart?.dispose();
  },
  methods: {
    readColours() {
      const style = getComputedStyle(document.documentElement);
      const read = (name) => style.getPropertyValue(name).trim();
      return { ink: read("--ink"), soft: read("--soft"), line: read("--line"), other: read("--other"), held: read("--held") };
    },
    build() {
      this.$el.setAttribute("aria-label", this.config.words.label);
      this.canvas = this.piece("traces-canvas");
      this.gears = this.piece("traces-gears");
      this.spanMark = this.piece("traces-span");
      this.chosen = this.piece("traces-chosen");
      this.cursor = this.piece("traces-cursor");
      this.cursorText = document.createElement("span");
      this.cursor.append(this.cursorText);
      this.labels = this.piece("traces-labels");
      this.spanMark.hidden = this.chosen.hidden = this.cursor.hidden = true;
    },
    piece(name) {
      const element = document.createElement("div");
      element.className = name;
      this.$el.append(element);
      return element;
    },
    isNarrow() {
      return this.$el.clientWidth < 700;
    },
    sizes() {
      return this.isNarrow() ? NARROW : WIDE;
    },
    left() {
      return this.sizes().label + GUTTER_PX;
    },
    panelTop(at) {
      return HEAD_PX + at * this.sizes().panel;
    },
    // Everything anew: other channels, another pass, another axis.
    async rebuild() {
      const count = this.config.panels.length;
      this.canvas.style.height = `${this.panelTop(count) + this.sizes().foot}px`;
      this.$el.style.setProperty("--traces-foot", `${this.sizes().foot}px`);
      this.chart.clear();
      this.chart.resize();
      this.chart.setOption(this.skeleton(), { notMerge: true });
      this.drawLabels();
      await this.fetchLines();
    },
    skeleton() {
      const { ink, soft, line } = this.colours;
      const panels = this.config.panels;
      const [low, high] = this.window;
      return {
        animation: false,
        grid: panels.map((_, at) => ({
          left: this.left(),
          right: 10,
          top: this.panelTop(at) + this.sizes().inset,
          height: this.sizes().panel - this.sizes().inset - 8,
          outerBoundsMode: "none",
        })),
        xAxis: panels.map((_, at) => ({
          gridIndex: at,
          type: "value",
          min: low,
          max: high,
          axisLine: { show: true, onZero: false, lineStyle: { color: line } },
          axisTick: { show: false },
          axisPointer: { show: false },
          splitLine: { show: true, lineStyle: { color: line, opacity: 0.6 } },
          axisLabel: { show: at === panels.length - 1, color: soft, fontSize: 12, fontFamily: "Archivo", hideOverlap: true, showMinLabel: false, showMaxLabel: false },
        })),
        yAxis: panels.map((_, at) => ({
          gridIndex: at,
          type: "value",
          scale: true,
          splitNumber: 2,
          axisLine: { show: true, onZero: false, lineStyle: { color: ink, width: 1.5 } },
          axisTick: { show: false },
          splitLine: { show: false },
          axisLabel: { color: soft, fontSize: 11, fontFamily: "Archivo", formatter: (value) => this.figure(value, null) },
        })),
        series: this.lineKeys().map(({ id, panel, kind }) => ({
          id,
          type: "line",
          xAxisIndex: panel,
          yAxisIndex: panel,
          showSymbol: false,
          silent: true,
          clip: true,
          step: kind === "companion" ? "end" : false,
          lineStyle: this.lineStyle(kind),
          data: [],
        })),
      };
    },
    lineStyle(kind) {
      const { ink, other, held } = this.colours;
      if (kind === "other") return { color: other, width: 1.6, type: [6, 3] };
      if (kind === "companion") return { color: held, width: 2.4 };
      return { color: ink, width: 1.6 };
    },
    // One key for each line: companions lie below, the other pass above them, the pass itself on top.
    lineKeys() {
      const keys = [];
      this.config.panels.forEach((panel, at) => {
        panel.channels.slice(1).forEach((channel) => keys.push({ id: `${at}|companion|${channel.name}`, panel: at, kind: "companion", channel, pass: 0 }));
        if (this.config.passes[1]) keys.push({ id: `${at}|other`, panel: at, kind: "other", channel: panel.channels[0], pass: 1 });
        keys.push({ id: `${at}|own`, panel: at, kind: "own", channel: panel.channels[0], pass: 0 });
      });
      return keys;
    },
    query(pass, more) {
      const names = new Set(this.lineKeys().filter((key) => key.pass === pass).map((key) => key.channel.name));
      const query = new URLSearchParams({ along: this.config.along, ...more });
      names.forEach((name) => query.append("channel", name));
      return query;
    },
    async ask(pass, what, more) {
      const answer = await fetch(`${this.config.passes[pass].address}/${what}?${this.query(pass, more)}`);
      if (!answer.ok) throw new Error((await answer.json()).what);
      return answer.json();
    },
    // The newest question wins: an answer that was overtaken is dropped.
    async fetchLines() {
      const question = (this.question = (this.question ?? 0) + 1);
      const [low, high] = this.window;
      const width = Math.max(200, this.$el.clientWidth - this.left());
      const points = Math.min(POINTS, 2 * Math.round(width * (window.devicePixelRatio || 1)));
      const more = { start: low, end: high, points };
      const answers = await Promise.all(this.config.passes.map((_, pass) => this.ask(pass, "traces", more)));
      if (question !== this.question || !this.chart) return;
      const lines = answers.map((answer) => new Map(answer.lines.map((line) => [line.name, line])));
      const ranges = this.config.panels.map(() => [Infinity, -Infinity]);
      const series = this.lineKeys().map(({ id, panel, channel, pass }) => {
        const line = lines[pass].get(channel.name);
        if (!line) return { id, data: [] };
        const shown = (value) => (value === null ? null : value * channel.factor + channel.offset);
        if (line.lowest !== null) {
          ranges[panel][0] = Math.min(ranges[panel][0], shown(line.lowest));
          ranges[panel][1] = Math.max(ranges[panel][1], shown(line.highest));
        }
        return { id, data: line.at.map((at, place) => [at, shown(line.values[place])]) };
      });
      this.chart.setOption({ series, xAxis: this.axes(), yAxis: ranges.map((range) => this.yRange(range)) }, { lazyUpdate: false });
      this.lines = lines;
      this.showFigures();
      this.drawMarks();
      this.$el.dataset.drawn = String(Number(this.$el.dataset.drawn ?? 0) + 1);
    },
    axes() {
      return this.config.panels.map(() => ({ min: this.window[0], max: this.window[1] }));
    },
    yRange([low, high]) {
      if (!(high >= low)) return { min: 0, max: 1 };
      const spread = high - low || Math.abs(high) * 0.1 || 1;
      const step = this.roundStep(spread / 2.5);
      // Round ends, so that every figure of the axis is round too.
      return { min: Math.floor(low / step + 1e-6) * step, max: Math.ceil(high / step - 1e-6) * step || step, interval: step };
    },
    roundStep(raw) {
      const decade = 10 ** Math.floor(Math.log10(raw));
      return decade * [1, 2, 2.5, 5, 10].find((step) => step >= (raw / decade) * 0.999);
    },
    setWindow(low, high, isFinal = true) {
      const least = this.config.along === "time" ? 0.05 : 0.5;
      if (high - low < least) {
        const middle = (low + high) / 2;
        [low, high] = [middle - least / 2, middle + least / 2];
      }
      this.window = [low, high];
      // Asked first: the server answers while what is here is drawn wider.
      if (isFinal) this.fetchLines();
      this.chart.setOption({ xAxis: this.axes() }, { lazyUpdate: false });
      this.drawMarks();
      if (isFinal) {
        const address = new URL(location.href);
        address.searchParams.set("from", low.toFixed(3));
        address.searchParams.set("to", high.toFixed(3));
        history.replaceState(null, "", address);
      }
    },
    setConfig(config) {
      const isSameAxis = config.along === this.config.along;
      Object.assign(this.config, config);
      if (!isSameAxis) this.window = [...config.window];
      this.rebuild();
    },
    showSpan(low, high) {
      this.span = [low, high];
      const room = Math.max(0.6, high - low);
      this.setWindow(low - room, high + room);
      this.$el.scrollIntoView({ block: "start", behavior: "smooth" });
      this.$el.focus({ preventScroll: true });
    },
    // Places on the axis and on the screen
    toPx(at) {
      const [low, high] = this.window;
      return this.left() + ((at - low) / (high - low)) * (this.$el.clientWidth - 10 - this.left());
    },
    toAxis(px) {
      const [low, high] = this.window;
      return low + ((px - this.left()) / (this.$el.clientWidth - 10 - this.left())) * (high - low);
    },
    place(element, low, high) {
      const [from, to] = [low, high].map((at) => Math.min(Math.max(this.toPx(at), this.left()), this.$el.clientWidth - 10));
      element.style.left = `${from}px`;
      element.style.width = `${Math.max(0, to - from)}px`;
      return to > from;
    },
    drawMarks() {
      this.gears.replaceChildren(
        ...this.config.gears
          .filter((gear) => gear.end > this.window[0] && gear.start < this.window[1])
          .map((gear) => {
            const mark = document.createElement("span");
            mark.textContent = gear.label;
            this.place(mark, gear.start, gear.end);
            return mark;
          }),
      );
      this.spanMark.hidden = !this.span || !this.place(this.spanMark, ...this.span);
      if (this.at !== undefined) this.drawCursor();
    },
    drawLabels() {
      this.labels.replaceChildren(
        ...this.config.panels.map((panel, at) => {
          const label = document.createElement("div");
          label.className = "traces-label";
          label.style.top = `${this.panelTop(at)}px`;
          const unit = panel.channels[0].unit ? ` <i>${this.escaped(panel.channels[0].unit)}</i>` : "";
          label.innerHTML =
            `<span class="traces-name">${this.escaped(panel.channels[0].label)}${unit}</span>` +
            '<span class="traces-now"><b></b><b class="traces-other"></b></span><span class="traces-range"></span>';
          return label;
        }),
      );
      const unit = document.createElement("span");
      unit.className = "traces-unit";
      unit.textContent = this.config.words[this.config.along];
      this.labels.append(unit);
    },
    showFigures() {
      const { words } = this.config;
      this.config.panels.forEach((panel, at) => {
        const label = this.labels.children[at];
        const line = this.lines?.[0].get(panel.channels[0].name);
        const [own, other] = label.querySelectorAll("b");
        own.textContent = this.cursorFigure(0, panel.channels[0]);
        other.textContent = this.config.passes[1] ? this.cursorFigure(1, panel.channels[0]) : "";
        const range = ["lowest", "mean", "highest"].map((name) => `${words[name]} ${this.channelFigure(line?.[name], panel.channels[0])}`);
        label.querySelector(".traces-range").textContent = range.join("  ");
      });
    },
    cursorFigure(pass, channel) {
      return this.values?.[pass] ? this.channelFigure(this.values[pass][channel.name], channel) : "";
    },
    channelFigure(value, channel) {
      return value === null || value === undefined ? "–" : this.figure(value * channel.factor + channel.offset, channel.decimals);
    },
    figure(value, decimals) {
      const options = decimals === null ? { maximumFractionDigits: 3 } : { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
      return value.toLocaleString(document.documentElement.lang, { ...options, useGrouping: false }).replace("-", "−");
    },
    escaped(text) {
      const span = document.createElement("span");
      span.textContent = text;
      return span.innerHTML;
    },
    // The cursor
    moveCursor(at) {
      this.at = Math.min(Math.max(at, this.window[0]), this.window[1]);
      this.drawCursor();
      this.askValues();
    },
    drawCursor() {
      const isInside = this.at >= this.window[0] && this.at <= this.window[1];
      this.cursor.hidden = !isInside;
      this.cursor.style.left = `${this.toPx(this.at)}px`;
      this.cursorText.textContent = `${this.figure(this.at, this.config.along === "time" ? 2 : 1)} ${this.config.along === "time" ? "s" : "m"}`;
      this.cursor.classList.toggle("is-right", this.toPx(this.at) > this.$el.clientWidth - 90);
    },
    // One question at a time; when it is answered, the place where the cursor stands by then is asked for.
    async askValues() {
      if (this.asking) return;
      this.asking = true;
      try {
        let asked;
        do {
          asked = this.at;
          const answers = await Promise.all(this.config.passes.map((_, pass) => this.ask(pass, "values", { at: asked })));
          this.values = answers.map((answer) => answer.values);
          this.showFigures();
        } while (this.at !== asked);
      } finally {
        this.asking = false;
      }
    },
    // Hands and keys
    bind() {
      const pointers = new Map();
      let pinch = null;
      let start = null;
      const px = (event) => event.clientX - this.$el.getBoundingClientRect().left;
      this.$el.addEventListener("pointerdown", (event) => {
        if (px(event) < this.left() || event.button > 0) return;
        pointers.set(event.pointerId, px(event));
        this.canvas.setPointerCapture(event.pointerId);
        if (pointers.size === 2) {
          pinch = { window: [...this.window], places: [...pointers.values()] };
          start = null;
        } else {
          start = event.pointerType === "touch" ? null : px(event);
          this.moveCursor(this.toAxis(px(event)));
        }
      });
      this.$el.addEventListener("pointermove", (event) => {
        if (pointers.has(event.pointerId)) pointers.set(event.pointerId, px(event));
        if (pinch && pointers.size === 2) return this.pinched(pinch, [...pointers.values()]);
        if (px(event) >= this.left()) this.moveCursor(this.toAxis(px(event)));
        if (start !== null) {
          const [low, high] = [start, px(event)].sort((one, two) => one - two);
          this.chosen.hidden = high - low < 4 || !this.place(this.chosen, this.toAxis(low), this.toAxis(high));
        }
      });
      const lift = (event) => {
        pointers.delete(event.pointerId);
        if (pinch && pointers.size < 2) {
          pinch = null;
          this.setWindow(...this.window);
        }
        if (start !== null && event.type === "pointerup") {
          const [low, high] = [start, px(event)].sort((one, two) => one - two);
          if (high - low >= 4) this.setWindow(this.toAxis(Math.max(low, this.left())), this.toAxis(high));
        }
        start = null;
        this.chosen.hidden = true;
      };
      this.$el.addEventListener("pointerup", lift);
      this.$el.addEventListener("pointercancel", lift);
      this.$el.addEventListener("dblclick", () => this.setWindow(...this.config.window));
      this.$el.addEventListener(
        "wheel",
        (event) => {
          // The plain wheel scrolls the page.
          if (!event.ctrlKey && !event.shiftKey) return;
          event.preventDefault();
          this.zoom(Math.exp((event.deltaY || event.deltaX) * 0.0025), this.toAxis(px(event)));
        },
        { passive: false },
      );
      this.$el.addEventListener("keydown", (event) => this.key(event));
    },
    pinched({ window: [low, high], places }, now) {
      const width = this.$el.clientWidth - 10 - this.left();
      const axis = (place) => low + ((place - this.left()) / width) * (high - low);
      const [one, two] = places.map(axis);
      const perPx = (two - one) / (now[1] - now[0] || 1);
      if (perPx <= 0) return;
      const from = one - (now[0] - this.left()) * perPx;
      this.setWindow(from, from + perPx * width, false);
    },
    zoom(factor, about) {
      const [low, high] = this.window;
      const middle = about ?? (this.at >= low && this.at <= high ? this.at : (low + high) / 2);
      this.setWindow(middle - (middle - low) * factor, middle + (high - middle) * factor);
    },
    pan(share) {
      const [low, high] = this.window;
      const step = share * (high - low);
      this.setWindow(low + step, high + step);
    },
    whole() {
      this.setWindow(...this.config.window);
    },
    key(event) {
      const step = (this.window[1] - this.window[0]) / 200;
      const at = this.at ?? (this.window[0] + this.window[1]) / 2;
      const actions = {
        ArrowLeft: () => (event.shiftKey ? this.pan(-0.25) : this.moveCursor(at - step)),
        ArrowRight: () => (event.shiftKey ? this.pan(0.25) : this.moveCursor(at + step)),
        "+": () => this.zoom(0.5),
        "-": () => this.zoom(2),
        Home: () => this.whole(),
      };
      if (event.key in actions && event.target === this.$el) {
        event.preventDefault();
        actions[event.key]();
      }
    },
    resize() {
      if (!this.chart) return;
      const isNarrow = this.isNarrow();
      this.chart.resize();
      if (isNarrow !== this.wasNarrow && this.wasNarrow !== undefined) this.rebuild();
      this.wasNarrow = isNarrow;
      this.drawMarks();
    },
  },
};
