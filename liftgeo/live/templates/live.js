// The page's own script: it asks, draws what is answered, and keeps the trail of what was tried.
// Every number comes from the server; nothing is worked out here but where a pixel goes.
"use strict";
{% include "move.js" %}

const body = document.body;
const one = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
let mark = body.dataset.mark;
let over = {};            // the fields that differ from the file, as typed
let past = [], future = [];
let stock = null, now = null, bands = null, moving = null, trail = [];
let asked = 0, shown = 0, timer = null;
const begun = body.dataset.name !== "";

function kinds() {
  const found = {};
  for (const box of document.querySelectorAll("#choices input:checked")) found[box.name] = box.value;
  return found;
}

async function ask(name, more) {
  const told = Object.assign({ mark, over, kinds: kinds() }, more || {});
  const answer = await fetch("/" + name, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(told),
  });
  return answer;
}

function tell(text) { one("told").textContent = text; }

function warnBanner(text, buttons) {
  const banner = one("banner");
  banner.replaceChildren(element("p", {}, text));
  const row = element("p", { class: "buttons" });
  for (const [label, act] of buttons || []) {
    const button = element("button", { type: "button" }, label);
    button.addEventListener("click", act);
    row.append(button);
  }
  banner.append(row);
  banner.hidden = false;
}

function element(name, attributes, text) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes || {})) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  return made;
}

function drawn(name, attributes, text) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes || {})) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  return made;
}

// --- the form ---

async function fillForm() {
  const answer = await ask("form");
  if (!answer.ok) { await refused(answer); return; }
  const { groups } = await answer.json();
  const form = one("form");
  const open = new Set([...form.querySelectorAll("details[open]")].map((d) => d.dataset.table));
  form.replaceChildren();
  groups.forEach((group, k) => form.append(groupBox(group, open.size ? open.has(group.table) : k < (window.innerWidth < 992 ? 1 : 3))));
}

function groupBox(group, open) {
  const box = element("details", { "data-table": group.table });
  box.open = open;
  const kind = group.kind ? " (" + group.kind.replace("-", " ") + ")" : "";
  box.append(element("summary", {}, group.title + kind));
  const first = group.entries.filter((entry) => entry.first);
  const rest = group.entries.filter((entry) => !entry.first);
  first.forEach((entry) => box.append(fieldBox(entry)));
  if (rest.length) {
    const more = element("details");
    more.append(element("summary", {}, first.length ? "more of it" : "where it applies"));
    rest.forEach((entry) => more.append(fieldBox(entry)));
    box.append(more);
  }
  return box;
}

function fieldBox(entry) {
  const id = "f-" + entry.key.replaceAll(".", "-");
  const box = element("div", { class: "field", "data-key": entry.key });
  const label = element("label", { for: id }, entry.label + " ");
  label.append(element("span", { class: "key" }, entry.key + (entry.unit ? ", " + entry.unit : "")));
  box.append(label);
  const line = element("div", { class: "line" });
  const text = entry.key in over ? over[entry.key] : entry.text;
  let input;
  if (entry.form === "word") {
    input = element("select", { id });
    for (const word of ["", ...entry.options]) input.append(element("option", { value: word }, word || "not said"));
    input.value = text;
  } else {
    input = element("input", { id, type: "text", inputmode: entry.form === "number" ? "text" : "text", spellcheck: "false", "aria-describedby": id + "-state" });
    input.value = text;
    input.placeholder = "not measured";
  }
  input.dataset.file = entry.text;
  line.append(input);
  let range = null;
  if (entry.form === "number" && entry.step > 0 && entry.high > entry.low) {
    range = element("input", { type: "range", min: entry.low, max: entry.high, step: entry.step, "aria-label": entry.label + ", slider" });
    const at = parseFloat(text);
    range.value = Number.isFinite(at) ? at : entry.at;
    range.classList.toggle("idle", text.trim() === "");
    range.addEventListener("input", () => {
      input.value = String(Number(Number(range.value).toPrecision(9)));
      changed(entry, input, box, false);
    });
    range.addEventListener("change", () => changed(entry, input, box, true));
  }
  const clear = element("button", { type: "button", class: "small" }, "not measured");
  clear.addEventListener("click", () => { input.value = ""; changed(entry, input, box, true); });
  line.append(clear);
  box.append(line);
  if (range) box.append(range);
  box.append(element("p", { class: "state", id: id + "-state" }, stateOf(entry, input.value)));
  if (entry.how) box.append(element("p", { class: "how" }, entry.how));
  input.addEventListener("input", () => changed(entry, input, box, false));
  input.addEventListener("change", () => changed(entry, input, box, true));
  box.classList.toggle("tried", entry.key in over);
  return box;
}

function stateOf(entry, text) {
  if (text.trim() !== "") return entry.text !== "" && text !== entry.text ? "in the file: " + entry.text : "";
  return entry.usual ? "not measured: " + entry.usual : "not measured";
}

function changed(entry, input, box, settled) {
  const before = JSON.stringify(over);
  if (input.value === entry.text) delete over[entry.key];
  else over[entry.key] = input.value;
  box.classList.toggle("tried", entry.key in over);
  box.querySelector(".state").textContent = stateOf(entry, input.value);
  const range = box.querySelector('input[type="range"]');
  const at = parseFloat(input.value);
  if (range) range.classList.toggle("idle", input.value.trim() === "");
  if (range && document.activeElement !== range && Number.isFinite(at)) range.value = at;
  if (changed.start === undefined) changed.start = before;
  if (settled) {
    if (changed.start !== JSON.stringify(over)) { past.push(JSON.parse(changed.start)); future = []; }
    changed.start = undefined;
  }
  look(settled);
}

// --- asking ---

async function look(settled) {
  const mine = ++asked;
  clearTimeout(timer);
  let answer;
  try {
    answer = await ask("look", { place: Number(one("place").value) / (Number(body.dataset.places) - 1) });
  } catch (lost) {
    warnBanner("The page's server does not answer. What you tried is kept here; start it again, and", [["Try again", () => { one("banner").hidden = true; look(true); }]]);
    return;
  }
  if (mine < shown) return;
  shown = mine;
  if (!answer.ok) { await refused(answer); return; }
  const found = await answer.json();
  if (found.faults) { showFaults(found.faults); buttons(); return; }
  showFaults([]);
  now = found;
  if (stock === null || (Object.keys(over).length === 0 && begun)) stock = found;
  show(found);
  if (settled) remember(found);
  buttons();
  one("headline").setAttribute("aria-busy", "true");
  timer = setTimeout(() => lookSurer(mine), 60);
}

async function lookSurer(mine) {
  let answer;
  try { answer = await ask("sure"); } catch (lost) { return; }
  if (mine !== asked || !answer.ok) return;
  const found = await answer.json();
  if (mine !== asked) return;
  moving = found.moving;
  bands = found.bands || null;
  one("headline").removeAttribute("aria-busy");
  if (found.headline) {
    one("headline").textContent = found.headline;
    one("nominal").textContent = "";
    one("sure").replaceChildren(...found.sure.map((text) => element("p", {}, text)));
  }
  charts();
  movePlace();
}

async function refused(answer) {
  let said = { error: "It cannot be answered." };
  try { said = await answer.json(); } catch (none) { /* no JSON */ }
  if (answer.status === 409 && said.changed) {
    warnBanner(said.error, [["Read the file again", () => location.reload()]]);
  } else tell(said.error);
}

function showFaults(faults) {
  for (const box of document.querySelectorAll(".field")) {
    const input = box.querySelector('input[type="text"], select');
    const old = box.querySelector(".wrong");
    if (old) old.remove();
    input.removeAttribute("aria-invalid");
  }
  const open = [];
  for (const fault of faults) {
    const box = document.querySelector('[data-key="' + CSS.escape(fault.key) + '"]');
    const input = box && box.querySelector('input[type="text"], select');
    const said = fault.problem + " " + fault.remedy;
    if (input && (input.value.trim() !== "" || fault.key in over)) {
      input.setAttribute("aria-invalid", "true");
      box.append(element("p", { class: "wrong" }, said));
      for (let up = box.closest("details"); up; up = up.parentElement.closest("details")) up.open = true;
    } else open.push((box ? box.querySelector("label").firstChild.textContent.trim() : fault.key) + ": " + (fault.problem.startsWith("Needed") ? fault.remedy : said));
  }
  const list = one("lines");
  if (!faults.length) { if (now && !now.lines) list.textContent = ""; return; }
  const before = now ? "The last answer that could be worked out stands." : "";
  list.textContent = [before, ...(open.length ? ["Still wanted:", ...open.slice(0, 4)] : [])].filter(Boolean).join("\n");
}

// --- showing ---

function show(found) {
  const scene = one("scene");
  scene.innerHTML = found.scene;  // made and escaped by the server
  moving = null;
  one("warnings").replaceChildren(...found.warnings.map((w) => element("p", { class: w.severity }, w.text)));
  one("lines").textContent = found.lines ? found.lines.join("\n") : "";
  const whole = found.level === "full";
  for (const id of ["effort", "apart", "effort-name", "apart-name", "trail", "trail-name"]) one(id).toggleAttribute("hidden", !whole);
  if (!whole) { one("headline").textContent = ""; one("nominal").textContent = ""; one("short").textContent = ""; one("sure").replaceChildren(); one("bars").replaceChildren(); return; }
  one("nominal").textContent = found.answer;
  one("short").textContent = found.short;
  showBars(found.bars);
  charts();
  changedList();
}

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
    this.svg = svg;
    const [, , width, height] = svg.getAttribute("viewBox").split(" ").map(Number);
    this.box = { l: 46, r: width - 10, t: 12, b: height - 34 };
    this.x = (v) => this.box.l + (v - left) / (right - left) * (this.box.r - this.box.l);
    this.y = (v) => this.box.b - (v - low) / (high - low) * (this.box.b - this.box.t);
    svg.replaceChildren();
    const { l, r, t, b } = this.box;
    for (const [from, to, put] of [[left, right, "x"], [low, high, "y"]]) {
      const step = nice(to - from);
      for (let v = Math.ceil(from / step - 1e-9) * step; v <= to + 1e-9 * step; v += step) {
        const text = String(Number(v.toPrecision(6)));
        if (put === "x") {
          svg.append(drawn("path", { class: "grid", d: `M${this.x(v)} ${t}V${b}` }), drawn("text", { x: this.x(v), y: b + 14, "text-anchor": "middle" }, text));
        } else {
          svg.append(drawn("path", { class: "grid", d: `M${l} ${this.y(v)}H${r}` }), drawn("text", { x: l - 5, y: this.y(v) + 4, "text-anchor": "end" }, text));
        }
      }
    }
    svg.append(drawn("path", { class: "axis", d: `M${l} ${t}V${b}H${r}` }));
    svg.append(drawn("text", { x: (l + r) / 2, y: b + 29, "text-anchor": "middle" }, across));
    svg.append(drawn("text", { x: 12, y: (t + b) / 2, "text-anchor": "middle", transform: `rotate(-90 12 ${(t + b) / 2})` }, up));
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

function charts() {
  if (!now || now.level !== "full") return;
  const { effort, apart } = now.curves, units = now.units;
  const old = stock && stock.curves && stock !== now ? stock.curves : null;
  const right = 1.02 * most(effort.x, effort.back_x, old ? old.effort.x : []);
  const high = 1.12 * most(effort.pull, effort.wanted, old ? old.effort.pull : [], bands ? bands.effort[1] : []);
  const first = new Chart(one("effort"), 0, right, 0, high, `hand travel (${units.length})`, `force (${units.force})`);
  if (bands) first.band(bands.x, ...bands.effort);
  if (old) first.line(old.effort.x, old.effort.pull, "stock");
  first.line(effort.back_x, effort.back, "back");
  first.line(effort.x, effort.pull, "pull");
  first.level(effort.wanted, "wanted");
  const top = 1.12 * most(apart.y, apart.wanted, old ? old.apart.y : [], bands ? bands.apart[1] : []);
  const second = new Chart(one("apart"), 0, right, 0, top, `hand travel (${units.length})`, `parted (${units.length})`);
  if (bands) second.band(bands.x, ...bands.apart);
  if (old) second.line(old.apart.x, old.apart.y, "stock");
  second.line(apart.x, apart.y, "pull");
  second.level(apart.wanted, "needed to run clear");
  charts.first = first; charts.second = second;
  marks();
  showTrail();
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

function movePlace() {
  marks();
  if (!moving) return;
  const k = Number(one("place").value);
  moveScene(one("scene"), moving, k);
  one("said").textContent = moving.said[k];
  one("place").setAttribute("aria-valuetext", moving.said[k]);
}

// --- the trail ---

function remember(found) {
  if (found.level !== "full") return;
  const last = trail[trail.length - 1];
  if (!last || last.point[0] !== found.point[0] || last.point[1] !== found.point[1]) trail.push({ point: found.point, over: { ...over } });
  if (trail.length > 60) trail.splice(1, 1);
  showTrail();
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
  chart.level(now.wanted[1], "wanted");
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

const words = (fields) => Object.entries(fields).map(([key, text]) => key + " = " + (text || "not measured")).join(", ");

function changedList() {
  one("changed").replaceChildren(...Object.entries(over).map(([key, text]) => {
    const input = document.querySelector('[data-key="' + CSS.escape(key) + '"] [data-file]');
    const before = input ? input.dataset.file || "not measured" : "";
    return element("li", {}, `${key}: ${before} becomes ${text || "not measured"}`);
  }));
}

function buttons() {
  one("undo").disabled = past.length === 0;
  one("redo").disabled = future.length === 0;
  one("reset").disabled = Object.keys(over).length === 0;
}

async function goTo(fields) {
  over = { ...fields };
  await fillForm();
  await look(true);
  changedList();
}

one("undo").addEventListener("click", () => { if (past.length) { future.push({ ...over }); goTo(past.pop()); } });
one("redo").addEventListener("click", () => { if (future.length) { past.push({ ...over }); goTo(future.pop()); } });
one("reset").addEventListener("click", () => { past.push({ ...over }); future = []; goTo({}); });
one("place").addEventListener("input", movePlace);
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text]")) return;
  if (event.key === "z" && !event.shiftKey) { event.preventDefault(); one("undo").click(); }
  if (event.key === "y" || (event.key === "z" && event.shiftKey)) { event.preventDefault(); one("redo").click(); }
});

// --- keeping, saving, taking away ---

if (one("keep")) one("keep").addEventListener("submit", (event) => { event.preventDefault(); keep(false); });

async function keep(anyway) {
  const answer = await ask("keep", { name: one("keep-name").value, note: one("keep-note").value, anyway });
  if (answer.status === 409) {
    warnBanner("The file was changed on the disk since this page read it. Nothing was written.", [
      ["Read the file again", () => location.reload()],
      ["Keep mine in it all the same", () => { one("banner").hidden = true; keep(true); }],
    ]);
    return;
  }
  if (!answer.ok) { await refused(answer); return; }
  const found = await answer.json();
  mark = found.mark;
  tell("Kept as [changes." + one("keep-name").value + "] in " + found.file + ". `liftgeo compare` sets it beside the others.");
}

if (one("save")) one("save").addEventListener("submit", async (event) => {
  event.preventDefault();
  const answer = await ask("save", { name: one("save-name").value, title: one("save-title").value });
  if (!answer.ok) { await refused(answer); return; }
  location.reload();
});

for (const button of document.querySelectorAll("[data-get]")) {
  button.addEventListener("click", async () => {
    tell("Drawing…");
    const answer = await ask(button.dataset.get);
    if (!answer.ok) { await refused(answer); return; }
    const link = element("a", { href: URL.createObjectURL(await answer.blob()), download: button.dataset.file });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    tell(button.dataset.file + " is with your downloads.");
  });
}

for (const box of document.querySelectorAll("#choices input")) {
  box.addEventListener("change", async () => { over = Object.fromEntries(Object.entries(over).filter(([key]) => key.split(".")[0] !== box.name)); now = null; stock = null; await fillForm(); look(false); });
}

async function stands() {
  if (!begun || document.hidden) return;
  try {
    const answer = await ask("stands", { over: {} });
    const found = await answer.json();
    if (found.mark && found.mark !== mark && one("banner").hidden) {
      warnBanner("The file was changed on the disk since this page read it. What you see is still what it said before.", [
        ["Read the file again", () => location.reload()],
        ["Go on with this", () => { one("banner").hidden = true; }],
      ]);
    }
  } catch (lost) { /* told when it is asked next */ }
}
window.addEventListener("focus", stands);
setInterval(stands, 5000);

fillForm().then(() => look(true));
