// The page's own script: it asks, draws what is answered, and keeps the trail of what was tried.
// Every number comes from the server; nothing is worked out here but where a pixel goes.
"use strict";
{% include "move.js" %}

const body = document.body;
const one = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
let mark = body.dataset.mark;
let over = {};            // the fields that differ from the file, as typed
let past = [], future = [], changes = [];
let stock = null, now = null, bands = null, moving = null, trail = [];
let timer = null, latest = 0;
const mend = "mend" in body.dataset;
const begun = body.dataset.name !== "";

function kinds() {
  const found = {};
  for (const box of document.querySelectorAll("#choices input:checked")) found[box.name] = box.value;
  return found;
}

function ask(name, more) {
  return fetch("/" + name, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(Object.assign({ mark, over, kinds: kinds() }, more || {})),
  });
}

// Ask, and where nobody answers say so; `lost` says what that means for what was asked.
async function sent(name, more, lost) {
  try {
    return await ask(name, more);
  } catch (silent) {
    if (lost) tell(lost + " The page's server does not answer.");
    warnBanner("The page's server does not answer: its window was closed, or it was stopped. What you tried is kept here. Start it again as you did the first time (liftgeo live " + (body.dataset.name || "") + "), and", [["Try again", () => { hideBanner(); tell(""); look(true); }]]);
    return null;
  }
}

async function asked(name, more, quiet) {
  const answer = quiet ? await ask(name, more).catch(() => null) : await sent(name, more);
  if (!answer) return null;
  if (answer.ok) return answer.json();
  if (!quiet) await refused(answer);
  return null;
}

async function refused(answer) {
  let said = { error: "It cannot be answered." };
  try { said = await answer.json(); } catch (none) { /* no JSON */ }
  tell(said.error);
  if (answer.status === 409 && said.changed) warnBanner(said.error, [said.gone ? ["Write it anew", writeAnew] : ["Read the file again", readAgain]]);
}

function tell(text) { one("told").textContent = text; }

function hideBanner() { one("banner").hidden = true; }

function warnBanner(text, acts) {
  const banner = one("banner");
  banner.replaceChildren(element("p", {}, text));
  const row = element("p", { class: "buttons" });
  for (const [label, act] of acts || []) {
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

{% include "live_form.js" %}

// --- asking for the answer: one question at a time, and always the latest ---

let wanted = null, busy = null;

function look(settled, field) {
  latest += 1;
  clearTimeout(timer);
  working();
  wanted = { settled: settled || Boolean(wanted && wanted.settled), field: field || (wanted ? wanted.field : "") };
  if (!busy) busy = looked().finally(() => { busy = null; });
  return busy;
}

async function looked() {
  while (wanted) {
    const { settled, field } = wanted, mine = latest;
    wanted = null;
    if (begun && !mend && stock === null && Object.keys(over).length) stock = await asked("look", { over: {}, place: 1 }, true);
    const answer = await sent("look", { field: field || null, drawn: one("scene").dataset.form || "", place: Number(one("place").value) / (Number(body.dataset.places) - 1) });
    if (!answer) { settledAgain(); return; }
    if (!answer.ok) { settledAgain(); await refused(answer); continue; }
    const found = await answer.json();
    if (found.field && fieldOf(found.field.key)) setSlider(fieldOf(found.field.key), found.field.slider);
    if (found.faults) { showFaults(found.faults); states(); buttons(); changedList(); settledAgain(); continue; }
    showFaults([]);
    now = found;
    if (stock === null || (Object.keys(over).length === 0 && begun)) stock = found;
    show(found);
    if (settled) remember(found);
    later(settled);
    if (mine === latest) timer = setTimeout(() => lookSurer(mine), 80);
  }
}

// What nobody watches while a slider moves comes once the picture is there.
let idle = null;
function later(settled) {
  clearTimeout(idle);
  idle = setTimeout(() => { states(); changedList(); buttons(); if (now && now.level === "full") showTrail(); }, settled ? 0 : 60);
}

async function lookSurer(mine) {
  const found = await asked("sure", {}, true);
  if (mine !== latest) return;
  if (!found) { settledAgain(); return; }
  moving = found.moving;
  bands = found.bands || null;
  boxes = found.boxes;
  for (const [name, view] of Object.entries(boxes)) putBox(name, view);
  if (found.headline) {
    one("headline").textContent = found.headline;
    one("word").textContent = found.word;
    one("sure").replaceChildren(...found.sure.map((text) => element("p", {}, text)));
  }
  for (const key of document.querySelectorAll(".legend .of-band")) key.classList.toggle("unseen", !bands);
  settledAgain();
  charts();
  movePlace();
}

// One verdict at any time: the old one stands, marked, until how sure the new one is has been worked out.
const WORKING = "working it out …";
function working() {
  one("headline").setAttribute("aria-busy", "true");
  one("again").textContent = one("headline").textContent ? "That was before this step; it is being worked out again …" : "It is being worked out …";
  one("word").textContent = WORKING;
}

function settledAgain() {
  one("headline").removeAttribute("aria-busy");
  one("again").textContent = "";
  if (one("word").textContent === WORKING) one("word").textContent = one("headline").textContent.split(":")[0];
}

// --- showing ---

let boxes = {};           // what the drawing's views span through the whole stroke

function show(found) {
  moving = null;
  bands = null;
  showScene(found);
  one("warnings").replaceChildren(...found.warnings.map((w) => element("p", { class: w.severity }, w.text)));
  const stops = found.warnings.filter((w) => w.severity === "stop").length;
  const cautions = found.warnings.filter((w) => w.severity === "caution").length;
  one("strip").textContent = [stops ? stops + " STOP" : "", cautions ? cautions + " CAUTION" : ""].filter(Boolean).join(", ");
  one("strip").toggleAttribute("hidden", !(stops || cautions));
  one("lines").replaceChildren(...(found.lines || []).map((text) => element(text.includes("\n") ? "pre" : "p", {}, text)));
  const whole = found.level === "full";
  for (const box of document.querySelectorAll("[data-whole]")) box.hidden = !whole;
  if (!whole) { for (const id of ["headline", "word", "numbers", "again", "strip"]) one(id).textContent = ""; one("sure").replaceChildren(); one("bars").replaceChildren(); return; }
  one("numbers").textContent = found.short;
  showBars(found.bars);
  charts();
}

function showScene(found) {
  const scene = one("scene"), { stand } = found;
  if (found.scene) {
    scene.innerHTML = found.scene;  // made and escaped by the server
    scene.dataset.form = stand.form;
    boxes = {};
  }
  for (const [name, [points, radius]] of Object.entries(stand.shapes)) {
    const shape = scene.querySelector('[data-shape="' + name + '"]');
    if (radius) {
      const [x, y] = points.split(",");
      shape.setAttribute("cx", x);
      shape.setAttribute("cy", y);
      shape.setAttribute("r", radius);
    } else shape.setAttribute("points", points);
  }
  for (const [name, view] of Object.entries(stand.boxes)) {
    const whole = boxes[name];
    if (!whole || !within(view.box, whole.box)) putBox(name, view);
  }
}

const within = ([x, y, w, h], [l, t, a, b]) => x >= l - 0.08 * a && y >= t - 0.08 * b && x + w <= l + 1.08 * a && y + h <= t + 1.08 * b;

function putBox(name, view) {
  const figure = document.querySelector('#scene [data-view="' + name + '"]');
  if (!figure) return;
  figure.querySelector("svg").setAttribute("viewBox", view.box.join(" "));
  figure.querySelector(".bar").setAttribute("points", view.bar);
  figure.querySelector("figcaption").textContent = view.below;
}

function movePlace() {
  marks();
  if (!moving) return;
  const k = Number(one("place").value);
  moveScene(one("scene"), moving, k);
  one("said").textContent = moving.said[k];
  one("place").setAttribute("aria-valuetext", moving.said[k]);
}

{% include "live_charts.js" %}
{% include "live_keep.js" %}
recalled();
fillForm().then(() => look(true));
