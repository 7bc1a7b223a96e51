// --- the form ---

const fieldOf = (key) => document.querySelector('.field[data-key="' + CSS.escape(key) + '"]');
const inputOf = (box) => box && box.querySelector("[data-file]");

async function fillForm() {
  const told = await asked("form");
  if (!told) return;
  const form = one("form");
  const stood = new Map([...form.querySelectorAll("details")].map((d) => [d.dataset.table, d.open]));
  const narrow = window.innerWidth < 992;
  form.replaceChildren(...told.groups.map((group, k) => groupBox(group, (table, open) => stood.has(table) ? stood.get(table) : open && !(narrow && k > 0))));
  changes = told.changes;
  changesList();
}

function groupBox(group, opens) {
  const box = element("details", { "data-table": group.table });
  box.open = opens(group.table, group.open);
  const kind = group.kind ? " (" + group.kind.replace("-", " ") + ")" : "";
  box.append(element("summary", {}, group.title + kind));
  if (group.table === "bench") box.append(element("p", { class: "how" }, "What you read on the machine as it stands now, for the file: not part of a change."));
  const first = group.entries.filter((entry) => entry.first);
  const rest = group.entries.filter((entry) => !entry.first);
  first.forEach((entry) => box.append(fieldBox(entry)));
  if (rest.length) {
    const more = element("details", { "data-table": group.table + " more" });
    more.open = opens(group.table + " more", false);
    more.append(element("summary", {}, first.length ? "more of it" : "where it applies"));
    rest.forEach((entry) => more.append(fieldBox(entry)));
    box.append(more);
  }
  return box;
}

function inputFor(entry, id) {
  if (entry.form === "word") {
    const input = element("select", { id });
    for (const word of ["", ...entry.options]) input.append(element("option", { value: word }, word || "not said"));
    return input;
  }
  const told = { id, spellcheck: "false", placeholder: "not measured", "aria-describedby": id + "-state" };
  if (entry.form === "points") return element("textarea", { ...told, rows: String(Math.min(6, 2 + entry.text.split("\n").length)) });
  return element("input", { ...told, type: "text" });
}

function fieldBox(entry) {
  const id = "f-" + entry.key.replaceAll(".", "-");
  const box = element("div", { class: "field", "data-key": entry.key });
  const label = element("label", { for: id }, entry.label + " ");
  label.append(element("span", { class: "key" }, entry.key + (entry.unit ? ", " + entry.unit : "")));
  const line = element("div", { class: "line" });
  const input = inputFor(entry, id);
  input.value = entry.key in over ? over[entry.key] : entry.text;
  input.dataset.file = entry.text;
  const clear = element("button", { type: "button", class: "small" }, "not measured");
  clear.addEventListener("click", () => { input.value = ""; changed(entry, box, true, true); });
  line.append(input, clear);
  box.append(label, line);
  if (entry.form === "number" && !entry.key.startsWith("bench.")) box.append(sliderFor(entry, box, input));
  box.append(element("p", { class: "state", id: id + "-state" }));
  if (entry.how) box.append(element("p", { class: "how" }, entry.how));
  input.addEventListener("input", () => changed(entry, box, false, true));
  input.addEventListener("change", () => changed(entry, box, true, true));
  box.entry = entry;
  setSlider(box, entry.slider);
  stateOf(box);
  return box;
}

// The server says where a slider stands, how far it goes, and what it writes behind its number.
function sliderFor(entry, box, input) {
  const range = element("input", { type: "range", class: "idle", "aria-label": entry.label + ", slider" });
  const put = (settled) => {
    if (!settled) input.value = String(Number(Number(range.value).toPrecision(9))) + box.after;
    changed(entry, box, settled, settled);
  };
  range.addEventListener("input", () => put(false));
  range.addEventListener("change", () => put(true));
  return range;
}

function setSlider(box, slider) {
  const range = box.querySelector('input[type="range"]');
  box.reads = slider ? slider.reads : "";
  if (!range) return;
  const empty = inputOf(box).value.trim() === "";
  range.classList.toggle("idle", empty || !slider);
  if (!slider || empty) return;
  Object.assign(range, { min: slider.low, max: slider.high, step: slider.step });
  range.value = slider.at;
  box.after = slider.after;
  range.setAttribute("aria-valuetext", inputOf(box).value);
}

// What stands below a field: what the file says, how a text was read, what is taken while it is empty.
function stateOf(box) {
  const { entry } = box, text = inputOf(box).value.trim(), said = [];
  const gone = now && now.gone ? now.gone[entry.key] : "";
  box.classList.toggle("tried", entry.key in over);
  box.classList.toggle("gone", Boolean(gone) && !(entry.key in over));
  if (text === "") {
    const taken = now && now.taken ? now.taken[entry.key] : "";
    said.push("not measured" + (taken ? ": " + taken : entry.usual ? ": " + entry.usual : ""));
  } else if (gone && !(entry.key in over)) said.push(gone);
  if (entry.key in over && entry.text !== "") said.push("in the file: " + entry.text.replaceAll("\n", " | "));
  if (text !== "" && box.reads) said.push("= " + box.reads);
  box.querySelector(".state").textContent = said.join("; ");
}

function states() { for (const box of document.querySelectorAll(".field")) stateOf(box); }

function changed(entry, box, settled, typed) {
  const before = JSON.stringify(over), input = inputOf(box);
  if (input.value === entry.text) delete over[entry.key];
  else over[entry.key] = input.value;
  if (changed.start === undefined) changed.start = before;
  if (settled) {
    if (changed.start !== JSON.stringify(over)) { past.push(JSON.parse(changed.start)); future = []; }
    changed.start = undefined;
  }
  if (input.value.trim() === "") setSlider(box, null);
  stateOf(box);
  remembered();
  look(settled, typed ? entry.key : "");
}

function showFaults(faults) {
  for (const box of document.querySelectorAll(".field")) {
    const old = box.querySelector(".wrong");
    if (old) old.remove();
    inputOf(box).removeAttribute("aria-invalid");
  }
  const open = new Map();
  for (const fault of faults) {
    const box = fieldOf(fault.key), input = inputOf(box);
    const said = fault.problem + " " + fault.remedy;
    if (input && (input.value.trim() !== "" || fault.key in over) && !fault.problem.startsWith("Needed, and not given")) {
      input.setAttribute("aria-invalid", "true");
      box.append(element("p", { class: "wrong" }, said));
      for (let up = box.closest("details"); up; up = up.parentElement.closest("details")) up.open = true;
      continue;
    }
    const home = box && box.closest("#form > details");
    const where = home ? home.querySelector("summary").textContent : "";
    const what = (box ? box.querySelector("label").firstChild.textContent.trim() : fault.key) + ": " + (fault.problem.startsWith("Needed") ? fault.remedy : said);
    open.set(where, [...(open.get(where) || []), what]);
  }
  const list = one("lines");
  if (!faults.length) { if (now && !now.lines) list.textContent = ""; return; }
  const shown = [...open].map(([where, each]) => (where ? where + "\n" : "") + each.map((what) => "  " + what).join("\n"));
  const before = now ? ["The last answer that could be worked out stands."] : [];
  const elsewhere = mend && open.has("") ? ["What has no field here is put right in the file itself, with a text editor."] : [];
  const told = mend ? ["To put right:", ...shown, ...elsewhere] : ["Still wanted:", shown[0], ...(shown.length > 1 ? ["then: " + [...open.keys()].slice(1).join(", ")] : [])];
  list.textContent = [...before, ...(shown.length ? told : [])].join("\n");
}

// --- the changes that the file has ---

function changesList() {
  const box = one("changes");
  if (!box) return;
  one("changes-name").hidden = changes.length === 0;
  box.replaceChildren(...changes.map((change) => {
    const row = element("li");
    const button = element("button", { type: "button", class: "small" }, "Lay on");
    const keys = Object.entries(change.keys).map(([key, text]) => key + " = " + text.replaceAll("\n", " | ")).join(", ");
    button.setAttribute("aria-label", "Lay on " + change.name);
    button.addEventListener("click", () => layOn(change.name));
    row.append(button, element("strong", {}, " " + change.name + " "), document.createTextNode((change.note ? change.note + ": " : "") + keys));
    return row;
  }));
}

async function layOn(name) {
  const told = await asked("lay", { name });
  if (!told) return;
  past.push({ ...over });
  future = [];
  tell("[changes." + name + "] is laid on. Undo takes it off.");
  goTo(told.over);
}
