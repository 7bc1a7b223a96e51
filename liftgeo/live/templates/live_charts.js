// --- bars and charts ---

function showBars(bars) {
  const grey = new Map((stock && stock.bars ? stock.bars : []).map((bar) => [bar.name, bar]));
  one("bars").replaceChildren(element("h3", {}, "Where the lift goes, " + now.units.length), ...bars.map((bar) => {
    const row = element("div", { class: "bar-row" });
    row.append(element("span", {}, bar.name), element("span", { class: "n" }, bar.lost), element("span", { class: "n" }, bar.left));
    const svg = drawn("svg", { viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true" });
    const old = grey.get(bar.name);
    if (old) svg.append(drawn("rect", { class: "stock", x: 0, y: 0, width: 100 * old.share, height: 10 }));
    svg.append(drawn("rect", { x: 0, y: 2, width: 100 * bar.share, height: 6 }));
    row.append(svg);
    return row;
  }));
}

function nice(most) {
  const power = Math.pow(10, Math.floor(Math.log10(most / 4)));
  for (const k of [1, 2, 5, 10]) if (most / (k * power) <= 5) return k * power;
  return 10 * power;
}

class Chart {
  constructor(svg, left, right, low, high, across, up) {
    this.parts = [];
    this.svg = svg;
    const [, , width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
    this.box = { l: 46, r: width - 10, t: 12, b: height - 34 };
    this.x = (v) => this.box.l + (v - left) / (right - left) * (this.box.r - this.box.l);
    this.y = (v) => this.box.b - (v - low) / (high - low) * (this.box.b - this.box.t);
    const { l, r, t, b } = this.box;
    const frame = JSON.stringify([left, right, low, high, across, up]);
    if (svg.frame === frame) { // the same paper: only what is drawn on it is drawn anew
      while (svg.childNodes.length > svg.paper) svg.lastChild.remove();
      return;
    }
    for (const [from, to, put] of [[left, right, "x"], [low, high, "y"]]) {
      const step = nice(to - from);
      for (let v = Math.ceil(from / step - 1e-9) * step; v <= to + 1e-9 * step; v += step) {
        const text = String(Number(v.toPrecision(6)));
        if (put === "x") {
          this.parts.push(drawn("path", { class: "grid", d: `M${this.x(v)} ${t}V${b}` }), drawn("text", { x: this.x(v), y: b + 14, "text-anchor": "middle" }, text));
        } else {
          this.parts.push(drawn("path", { class: "grid", d: `M${l} ${this.y(v)}H${r}` }), drawn("text", { x: l - 5, y: this.y(v) + 4, "text-anchor": "end" }, text));
        }
      }
    }
    this.parts.push(drawn("path", { class: "axis", d: `M${l} ${t}V${b}H${r}` }));
    this.parts.push(drawn("text", { x: (l + r) / 2, y: b + 29, "text-anchor": "middle" }, across));
    this.parts.push(drawn("text", { x: 12, y: (t + b) / 2, "text-anchor": "middle", transform: `rotate(-90 12 ${(t + b) / 2})` }, up));
    svg.replaceChildren(...this.parts);
    Object.assign(svg, { frame, paper: this.parts.length });
  }
  line(xs, ys, name) {
    let path = "", pen = false;
    xs.forEach((x, k) => {
      if (x === null || ys[k] === null) { pen = false; return; }
      path += (pen ? "L" : "M") + this.x(x).toFixed(1) + " " + this.y(ys[k]).toFixed(1);
      pen = true;
    });
    if (path) this.svg.append(drawn("path", { class: name, d: path }));
  }
  band(xs, lows, highs) {
    const there = xs.map((x, k) => k).filter((k) => xs[k] !== null && lows[k] !== null && highs[k] !== null);
    if (there.length < 2) return;
    const up = there.map((k) => this.x(xs[k]).toFixed(1) + " " + this.y(highs[k]).toFixed(1));
    const down = there.reverse().map((k) => this.x(xs[k]).toFixed(1) + " " + this.y(lows[k]).toFixed(1));
    this.svg.append(drawn("path", { class: "band", d: "M" + [...up, ...down].join("L") + "Z" }));
  }
  level(v, words) {
    this.svg.append(drawn("path", { class: "wanted", d: `M${this.box.l} ${this.y(v)}H${this.box.r}` }), drawn("text", { x: this.box.l + 4, y: this.y(v) - 4 }, words));
  }
}

const most = (...lists) => Math.max(1e-6, ...lists.flat().filter((v) => v !== null && v !== undefined));

// An axis stays as it is for as long as what is shown fills it and fits.
const ends = {};
function steady(name, needed) {
  if (!(ends[name] >= needed && needed >= 0.55 * ends[name])) ends[name] = 1.1 * needed;
  return ends[name];
}

function charts() {
  if (!now || now.level !== "full") return;
  const { effort, apart } = now.curves, units = now.units;
  const old = stock && stock.curves && stock !== now ? stock.curves : null;
  const right = steady("travel", 1.01 * most(effort.x, effort.back_x, old ? old.effort.x : []));
  const high = steady("effort", 1.06 * most(effort.pull, effort.wanted, old ? old.effort.pull : [], bands ? bands.effort[1] : []));
  const first = new Chart(one("effort"), 0, right, 0, high, `hand travel (${units.length})`, `force (${units.force})`);
  if (bands) first.band(bands.x, ...bands.effort);
  if (old) first.line(old.effort.x, old.effort.pull, "stock");
  first.line(effort.back_x, effort.back, "back");
  first.line(effort.x, effort.pull, "pull");
  first.level(effort.wanted, "wanted at most");
  const top = steady("apart", 1.06 * most(apart.y, apart.wanted, old ? old.apart.y : [], bands ? bands.apart[1] : []));
  const second = new Chart(one("apart"), 0, right, 0, top, `hand travel (${units.length})`, `parted (${units.length})`);
  if (bands) second.band(bands.x, ...bands.apart);
  if (old) second.line(old.apart.x, old.apart.y, "stock");
  second.line(apart.x, apart.y, "pull");
  second.level(apart.wanted, "needed to run clear");
  charts.first = first; charts.second = second;
  marks();
}

function marks() {
  if (!now || !now.curves || !charts.first) return;
  const share = Number(one("place").value) / (Number(body.dataset.places) - 1);
  for (const [chart, xs, ys] of [[charts.first, now.curves.effort.x, now.curves.effort.pull], [charts.second, now.curves.apart.x, now.curves.apart.y]]) {
    const want = share * xs[xs.length - 1];
    let k = xs.findIndex((x) => x >= want - 1e-9);
    if (k < 0) k = xs.length - 1;
    let dot = chart.svg.querySelector(".at");
    if (!dot) { dot = drawn("circle", { class: "at", r: 4.5 }); chart.svg.append(dot); }
    dot.setAttribute("cx", chart.x(xs[k]));
    dot.setAttribute("cy", chart.y(ys[k]));
  }
}

function showTrail() {
  if (!now || !now.point || !stock || !stock.point) return;
  const every = [stock.point, ...trail.map((t) => t.point), now.point, now.wanted];
  const spread = (k) => {
    const values = every.map((p) => p[k]).filter((v) => v !== null && Number.isFinite(v));
    const low = Math.min(...values), high = Math.max(...values), room = 0.15 * Math.max(high - low, 0.02 * Math.abs(high), 1e-3);
    return [low - room, high + room];
  };
  const [left, right] = spread(0), [low, high] = spread(1);
  const chart = new Chart(one("trail"), left, right, low, high, `clearance on each face (${now.units.length})`, `heaviest pull (${now.units.force})`);
  chart.level(now.wanted[1], "wanted at most");
  const x = chart.x(now.wanted[0]);
  chart.svg.append(drawn("path", { class: "wanted", d: `M${x} ${chart.box.t}V${chart.box.b}` }));
  chart.line(trail.map((t) => t.point[0]), trail.map((t) => t.point[1]), "way");
  const dot = (p, name, title) => {
    const made = drawn("circle", { class: "dot " + name, cx: chart.x(p[0]), cy: chart.y(p[1]), r: 5 });
    made.append(drawn("title", {}, title));
    chart.svg.append(made);
  };
  trail.forEach((t) => dot(t.point, "", words(t.over) || "as it stands"));
  dot(stock.point, "first", "as it stands");
  dot(now.point, "now", words(over) || "as it stands");
}
