// The page moves figures and shows what the program answers; it computes nothing about the flight itself.
"use strict";

const byId = (id) => document.getElementById(id);
const first = {};      // figures as the file has them, by control
let figures = {};      // figures as they are now
let past = [];         // earlier figures, for undo
let settled = {};      // figures when the last movement ended
const unfit = new Map();  // what is wrong with a box that holds no usable figure, by control: until it is mended there is no verdict
let asking = false;    // one question at a time; the newest figures are asked next
let waiting = false;
let moving = false;    // while a slider is held the program leaves out what nobody reads meanwhile

function element(name, text, kind) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

async function ask(where, body) {
  const options = body === undefined ? {} : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
  const answer = await fetch(where, options);
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}

function moved() {
  return Object.fromEntries(Object.entries(figures).filter(([id, value]) => value !== first[id]));
}

// Tables -----------------------------------------------------------------

// A table keeps its cells while its shape stays, and only what differs is written: the screen follows sooner.
function table(place, data) {
  const shape = JSON.stringify([data.title, data.heads, data.rows.length, data.notes.length]);
  if (place.dataset.shape !== shape) {
    place.replaceChildren(...fresh(data));
    place.dataset.shape = shape;
  }
  const rows = place.querySelector("tbody").rows;
  data.rows.forEach((row, number) => {
    const line = rows[number];
    const kind = [row.strong && "strong", row.alarm && "alarm"].filter(Boolean).join(" ");
    if (line.className !== kind) line.className = kind;
    row.cells.forEach((text, index) => write(line.children[index], text));
  });
  place.querySelectorAll(":scope > p").forEach((note, number) => write(note, data.notes[number]));
}

function write(place, text) {
  if (place.textContent !== text) place.textContent = text;
}

function fresh(data) {
  const made = element("table");
  made.append(element("caption", data.title));
  const kind = (index) => (data.words.includes(index) ? "word" : "");
  const head = made.createTHead().insertRow();
  data.heads.forEach((text, index) => {
    const cell = element("th", text, kind(index));
    cell.scope = "col";
    head.append(cell);
  });
  const body = made.createTBody();
  for (const row of data.rows) {
    const line = body.insertRow();
    row.cells.forEach((_, index) => {
      const cell = element(index ? "td" : "th", "", kind(index));
      if (!index) cell.scope = "row";
      line.append(cell);
    });
  }
  const around = element("div", undefined, "wide");
  around.append(made);
  return [around, ...data.notes.map(() => element("p", "", "small"))];
}

function list(place, texts, kind = "li") {
  if (place.children.length !== texts.length) place.replaceChildren(...texts.map(() => element(kind)));
  texts.forEach((text, number) => write(place.children[number], text));
}

// The picture keeps the parts that did not change, as the tables do.
function draw(picture) {
  const place = byId("drawn"), old = place.firstElementChild;
  const fresh = [...picture.children];
  if (!old || old.children.length !== fresh.length || fresh.some((part, number) => part.nodeName !== old.children[number].nodeName)) {
    place.replaceChildren(document.importNode(picture, true));
    return;
  }
  fresh.forEach((part, number) => {
    const held = old.children[number];
    const names = new Set([...part.getAttributeNames(), ...held.getAttributeNames()]);
    for (const name of names) {
      const value = part.getAttribute(name);
      if (value === null) held.removeAttribute(name);
      else if (held.getAttribute(name) !== value) held.setAttribute(name, value);
    }
    write(held, part.textContent);
  });
}

// Answers ----------------------------------------------------------------

const KINDS = { "INSIDE": "inside", "NOT SHOWN INSIDE": "doubtful", "OUTSIDE": "outside" };

function verdict(word, words, kind) {
  byId("verdict").className = kind;
  write(byId("word"), word);
  write(byId("words"), words);
  say(`${word}. ${words}`);
}

let speaking;
function say(text) {
  // A screen reader is told once a movement has ended, not at every step of it.
  clearTimeout(speaking);
  speaking = setTimeout(() => { byId("said").textContent = text; }, 400);
}

function show(answer) {
  const wrong = unfit.size ? [...unfit.values()] : answer.refused;
  byId("results").classList.toggle("stale", Boolean(wrong));
  if (wrong) {
    verdict("NOT COMPUTED", wrong.join(" "), "refused");
    return;
  }
  verdict(answer.verdict, answer.text, KINDS[answer.verdict]);
  for (const name of ["states", "burn", "fuel", "load"]) table(byId(name), answer.tables[name]);
  list(byId("reserve"), answer.reserve, "p");
  draw(new DOMParser().parseFromString(answer.picture, "image/svg+xml").documentElement);
  for (const name of ["legend", "uncertainty", "digest"]) write(byId(name), answer[name] || "…");
  byId("notices").hidden = !answer.notices.length;
  list(byId("notices").querySelector("ul"), answer.notices);
  list(byId("changed"), answer.changed.length ? answer.changed.map((each) => `${each.what}: ${each.from} → ${each.to}`) : ["nothing yet"]);
}

async function update(held = false) {
  moving = held;
  if (asking) { waiting = true; return; }
  asking = true;
  try {
    do {
      waiting = false;
      show(await ask("plan", { values: moved(), moving }));
    } while (waiting);
  } catch (error) {
    byId("results").classList.add("stale");
    verdict("NO ANSWER", `The program on this computer does not answer (${error.message}). Move a figure to ask again, or start the program again.`, "refused");
  } finally {
    asking = false;
  }
}

// Controls ---------------------------------------------------------------

function put(id, value) {
  figures[id] = value;
  const slider = byId(`${id}-slider`), box = byId(`${id}-box`);
  if (slider.valueAsNumber !== value) slider.value = value;
  if (box.valueAsNumber !== value) box.value = value;
  unfit.delete(id);
  box.setAttribute("aria-invalid", "false");
  slider.closest(".control").classList.toggle("moved", value !== first[id]);
}

function settle() {
  // One movement, from taking hold of a slider to letting go, is one step of undo.
  if (JSON.stringify(settled) !== JSON.stringify(figures)) past.push(settled);
  settled = { ...figures };
  byId("undo").disabled = !past.length;
  update();
}

function putAll(values) {
  for (const [id, value] of Object.entries(values)) put(id, value);
  settled = { ...figures };
  byId("undo").disabled = !past.length;
  update();
}

function input(control, type, step) {
  const made = element("input");
  Object.assign(made, { type, id: `${control.id}-${type === "range" ? "slider" : "box"}`, min: control.low, max: control.high, step, value: control.value });
  made.disabled = Boolean(control.fixed);
  made.setAttribute("aria-label", `${control.label}, ${control.unit}, ${type === "range" ? "slider" : "figure"}`);
  made.addEventListener("input", () => {
    const value = made.valueAsNumber;
    const fits = Number.isFinite(value) && value >= control.low && value <= control.high;
    if (fits) {
      put(control.id, value);
      update(true);
    } else {
      made.setAttribute("aria-invalid", "true");
      unfit.set(control.id, `${control.label}: needed a number from ${control.low} to ${control.high} ${control.unit}.`);
      show({});
    }
  });
  made.addEventListener("change", settle);
  return made;
}

function build(controls) {
  const groups = new Map();
  for (const control of controls) {
    first[control.id] = figures[control.id] = control.value;
    if (!groups.has(control.group)) {
      const group = element("fieldset");
      group.append(element("legend", control.group));
      groups.set(control.group, group);
    }
    const line = element("div", undefined, "control");
    const label = element("label", control.label);
    label.htmlFor = `${control.id}-box`;
    line.append(label, input(control, "range", control.step), input(control, "number", "any"), element("span", control.unit));
    if (control.fixed) line.append(element("p", control.fixed, "small"));
    groups.get(control.group).append(line);
  }
  settled = { ...figures };
  byId("sliders").replaceChildren(...groups.values());
  byId("undo").disabled = true;
}

// Buttons ----------------------------------------------------------------

byId("undo").addEventListener("click", () => putAll(past.pop() || first));
byId("reset").addEventListener("click", () => { past.push(settled); putAll(first); });
byId("controls").addEventListener("submit", (event) => event.preventDefault());

byId("save").addEventListener("click", async () => {
  try {
    const made = await ask("file", { values: moved() });
    if (made.refused) { say(`Not saved. ${made.refused.join(" ")}`); return; }
    const link = element("a");
    link.href = URL.createObjectURL(new Blob([made.text], { type: "text/yaml" }));
    link.download = made.name;
    link.click();
    URL.revokeObjectURL(link.href);
    say(`Saved as ${made.name}`);
  } catch (error) {
    say(`Not saved: ${error.message}`);
  }
});

byId("stop").addEventListener("click", async () => {
  if (!window.confirm("Stop the program? The page then no longer answers; what is not saved is lost.")) return;
  await ask("stop", { values: {} }).catch(() => {});
  byId("results").classList.add("stale");
  verdict("STOPPED", "The program was stopped. This window can be closed.", "refused");
});

ask("start").then(({ controls, answer }) => { build(controls); show(answer); document.documentElement.dataset.ready = "yes"; })
  .catch((error) => verdict("NO ANSWER", error.message, "refused"));
