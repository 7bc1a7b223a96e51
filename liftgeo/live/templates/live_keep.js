// --- what was tried ---

const words = (fields) => Object.entries(fields).map(([key, text]) => key + " = " + (text || "not measured")).join(", ");

function remember(found) {
  if (found.level !== "full") return;
  const last = trail[trail.length - 1];
  if (!last || last.point[0] !== found.point[0] || last.point[1] !== found.point[1]) trail.push({ point: found.point, over: { ...over } });
  if (trail.length > 60) trail.splice(1, 1);
  remembered();
}

// What was tried outlives a reload of this tab; another tab has its own.
const SHELF = "tried " + body.dataset.name;
function remembered() {
  if (!begun) return;
  try { sessionStorage.setItem(SHELF, JSON.stringify({ mark, over, past: past.slice(-60), future: future.slice(-60), trail })); } catch (full) { /* only a reload would miss it */ }
}
function recalled() {
  if (!begun) return;
  let kept = null;
  try { kept = JSON.parse(sessionStorage.getItem(SHELF) || "null"); } catch (spoiled) { /* begin afresh */ }
  if (!kept || typeof kept.over !== "object") return;
  ({ over, past, future, trail } = kept);
  if (kept.mark !== mark && Object.keys(over).length) tell("The file was changed since: what you had tried is laid over what it says now.");
}

function changedList() {
  one("changed").replaceChildren(...Object.entries(over).map(([key, text]) => {
    const input = inputOf(fieldOf(key));
    const before = input ? input.dataset.file || "not measured" : "";
    return element("li", {}, (before ? `${key}: ${before} becomes ` : `${key} becomes `).replaceAll("\n", " | ") + (text.replaceAll("\n", " | ") || "not measured"));
  }));
  const bench = one("keep-bench");
  if (bench) bench.hidden = !Object.keys(over).some((key) => key.startsWith("bench."));
}

function buttons() {
  one("undo").disabled = past.length === 0;
  one("redo").disabled = future.length === 0;
  one("reset").disabled = Object.keys(over).length === 0;
}

async function goTo(fields) {
  over = { ...fields };
  remembered();
  await fillForm();
  await look(true);
  changedList();
}

one("undo").addEventListener("click", () => { if (past.length) { future.push({ ...over }); goTo(past.pop()); } });
one("redo").addEventListener("click", () => { if (future.length) { past.push({ ...over }); goTo(future.pop()); } });
one("reset").addEventListener("click", () => { past.push({ ...over }); future = []; goTo({}); });
one("place").addEventListener("input", movePlace);
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.matches("input[type=text], textarea")) return;
  if (event.key === "z" && !event.shiftKey) { event.preventDefault(); one("undo").click(); }
  if (event.key === "y" || (event.key === "z" && event.shiftKey)) { event.preventDefault(); one("redo").click(); }
});

// --- the file on the disk ---

async function readAgain() {
  const told = await asked("again");
  if (!told) return;
  const had = words(over);
  mark = told.mark;
  document.querySelector("h1").textContent = told.title;
  if (had) { past.push({ ...over }); future = []; }
  stock = null; trail = [];
  hideBanner();
  await goTo({});
  tell("The file was read again." + (had ? " What you had tried (" + had + ") is taken off; Undo lays it on again." : ""));
}

async function writeAnew() {
  const told = await asked("anew");
  if (!told) return false;
  mark = told.mark;
  hideBanner();
  tell(told.file + " is written again, as this page had read it.");
  remembered();
  return true;
}

const GO_ON = ["Go on with this", () => hideBanner()];

async function stands() {
  if (!begun || document.hidden || !one("banner").hidden) return;
  let found;
  try { found = await (await ask("stands", { over: {} })).json(); } catch (lost) { return; /* told when it is asked next */ }
  if (found.mark === mark || found.mark === stands.seen || !one("banner").hidden) return;
  stands.seen = found.mark;
  if (found.mark) warnBanner("The file was changed on the disk since this page read it. What you see is still what it said before.", [["Read the file again", readAgain], GO_ON]);
  else warnBanner("The file is not there any more: somebody deleted, moved or renamed it. What you see is what it said.", [["Write it anew", writeAnew], GO_ON]);
}
window.addEventListener("focus", stands);
setInterval(stands, 5000);

// --- keeping, saving, taking away ---

async function write(question, more, done) {
  tell("Writing…");
  const answer = await sent(question, more, "Nothing may have been written: look into the file.");
  if (!answer) return;
  if (answer.status === 409) {
    const said = await answer.json();
    tell("Nothing was written.");
    if (said.taken) warnBanner(said.error + " Nothing was written: give this one another name, or", [["Put it in the place of that one", () => { hideBanner(); write(question, { ...more, instead: true }, done); }], ["Leave that one", hideBanner]]);
    else if (said.gone) warnBanner(said.error + " Nothing was written.", [["Write it anew, and this in it", async () => { if (await writeAnew()) write(question, more, done); }], GO_ON]);
    else warnBanner("The file was changed on the disk since this page read it. Nothing was written.", [
      ["Read the file again", readAgain],
      ["Keep mine in it all the same", () => { hideBanner(); write(question, { ...more, anyway: true }, done); }],
    ]);
    return;
  }
  if (!answer.ok) { await refused(answer); return; }
  await done(await answer.json());
}

if (one("keep")) one("keep").addEventListener("submit", (event) => {
  event.preventDefault();
  const name = one("keep-name").value, note = one("keep-note").value;
  write("keep", { name, note }, async (found) => {
    mark = found.mark;
    remembered();
    await fillForm();
    tell("Kept as [changes." + name + "] in " + found.file + ": it stands in the list of its changes now, beside the others.");
  });
});

if (one("keep-bench")) one("keep-bench").addEventListener("click", () => write("bench", {}, async (found) => {
  mark = found.mark;
  stock = null;
  const left = Object.fromEntries(Object.entries(over).filter(([key]) => !key.startsWith("bench.")));
  await goTo(left);
  tell("The readings stand in " + found.file + " now, under [bench].");
}));

if (one("mend")) one("mend").addEventListener("click", () => write("mend", {}, () => {
  over = {}; past = []; future = [];
  remembered();
  location.reload();
}));

if (one("save")) one("save").addEventListener("submit", (event) => {
  event.preventDefault();
  write("save", { name: one("save-name").value, title: one("save-title").value }, () => location.reload());
});

for (const button of document.querySelectorAll("[data-get]")) {
  button.addEventListener("click", async () => {
    tell("Drawing…");
    const answer = await sent(button.dataset.get, {}, button.textContent + " was not made.");
    if (!answer) return;
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
