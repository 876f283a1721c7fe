// @ts-check
/** The page itself: fields, verdict, picture, tables. What it shows is reckoned by evaluator.js alone. */
"use strict";

(() => {
  /** @param {string} id @returns {any} */
  const $ = (id) => document.getElementById(id);
  const box = $("model"), text = box.textContent;
  const WORDS = { inside: ["✓", "inside"], "not shown inside": ["?", "unshown"], outside: ["✗", "outside"], none: ["–", "none"] };
  const PLACES = { load: "load", fuel: "fuel", ramp: "ramp", takeoff: "take-off", landing: "landing", "zero fuel": "zero fuel", burn: "whole burn" };

  /** SHA-256 of ASCII text, as a club's web space without encryption has no other. @param {string} ascii */
  function digestOf(ascii) {
    /** @type {number[]} */
    const primes = [];
    for (let n = 2; primes.length < 64; n++) if (primes.every((p) => n % p)) primes.push(n);
    /** @param {number} p @param {number} power */
    const part = (p, power) => { const root = Math.pow(p, power); return ((root - Math.floor(root)) * 4294967296) | 0; };
    const k = primes.map((p) => part(p, 1 / 3)), h = primes.slice(0, 8).map((p) => part(p, 1 / 2));
    const size = ascii.length, words = new Int32Array((((size + 8) >> 6) + 1) << 4);
    for (let i = 0; i < size; i++) words[i >> 2] |= (ascii.charCodeAt(i) & 255) << (24 - 8 * (i & 3));
    words[size >> 2] |= 128 << (24 - 8 * (size & 3));
    words[words.length - 1] = size * 8;
    const w = new Int32Array(64), turn = (/** @type {number} */ x, /** @type {number} */ n) => (x >>> n) | (x << (32 - n));
    for (let at = 0; at < words.length; at += 16) {
      let [a, b, c, d, e, f, g, q] = h;
      for (let i = 0; i < 64; i++) {
        w[i] = i < 16 ? words[at + i] : (w[i - 16] + (turn(w[i - 15], 7) ^ turn(w[i - 15], 18) ^ (w[i - 15] >>> 3)) + w[i - 7] + (turn(w[i - 2], 17) ^ turn(w[i - 2], 19) ^ (w[i - 2] >>> 10))) | 0;
        const one = (q + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + k[i] + w[i]) | 0;
        const two = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
        [q, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
      }
      [a, b, c, d, e, f, g, q].forEach((each, i) => { h[i] = (h[i] + each) | 0; });
    }
    return h.map((each) => (each >>> 0).toString(16).padStart(8, "0")).join("");
  }

  /** @param {string} tag @param {any} attributes @param {...any} children @returns {any} */
  function make(tag, attributes, ...children) {
    const node = tag.startsWith("svg:") ? document.createElementNS("http://www.w3.org/2000/svg", tag.slice(4)) : document.createElement(tag);
    for (const [key, value] of Object.entries(attributes || {}))
      if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
      else if (value !== false && value !== null) node.setAttribute(key, value === true ? "" : value);
    node.append(...children);
    return node;
  }
  /** @param {string} words @param {() => void} act @param {string} label where the words alone do not say enough */
  const button = (words, act, label = words) => make("button", { type: "button", "aria-label": label, onclick: act }, words);
  /** A button that answers as the finger leaves it, not after the mouse that the browser makes of a finger.
   * @param {string} words @param {() => void} act @param {string} label */
  function quick(words, act, label) {
    const node = button(words, act, label);
    node.addEventListener("touchend", (/** @type {TouchEvent} */ event) => {
      const up = event.changedTouches[0], at = node.getBoundingClientRect();
      // A finger that scrolled or went astray means no button.
      if (!event.cancelable || event.touches.length || up.clientX < at.left || up.clientX > at.right || up.clientY < at.top || up.clientY > at.bottom) return;
      event.preventDefault();
      act();
    });
    return node;
  }
  /** @param {any[]} children */
  const row = (...children) => make("div", { class: "buttons" }, ...children);
  /** Text into a node, which is left alone where it is there already; its letters alone change, not its node.
   * @param {any} node @param {string} words */
  function put(node, words) {
    const own = node.firstChild;
    if (!own || own.nodeType !== 3 || own.nextSibling) node.textContent = words;
    else if (own.data !== words) own.data = words;
  }
  /** @param {any} node @param {string} name @param {any} value */
  function mark(node, name, value) {
    const told = String(value);
    if (node.getAttribute(name) !== told) node.setAttribute(name, told);
  }
  let fitting = 0;
  const [banner, signed, said, deciding] = ["verdict", "sign", "words", "decides"].map($);
  /** @param {string} word @param {string} words @param {string} kind */
  function verdict(word, words, kind) {
    const [sign, look] = WORDS[/** @type {keyof WORDS} */ (kind)];
    mark(banner, "class", look);
    put(signed, sign);
    put(said, word);
    // Words about as long as those measured leave their box its size, and the rest of the page its place.
    if (words.length > fitting || words.length < fitting - 30) deciding.className = "";
    put(deciding, words);
  }
  window.addEventListener("resize", () => { deciding.className = ""; });
  if (digestOf(text) !== box.dataset.digest) {
    verdict("Refused", "The model in this file is not the one that was written: a byte of it has changed. Get the page anew.", "none");
    $("fields").remove();
    return;
  }

  const model = JSON.parse(text), shared = model.shared, reader = makeReader(shared), evaluator = makeEvaluator(shared);
  // Limits of one sort and edges of one form stand once for all aircraft.
  for (const each of model.aircraft) for (const key of ["limits", "edges"]) each[key] = each[key].map((/** @type {number} */ at) => model[key][at]);
  const { opening } = model, same = (/** @type {any} */ a, /** @type {any} */ b) => JSON.stringify(a) === JSON.stringify(b);
  let aircraft = model.aircraft[0], confirmed = false;
  /** @type {any} */ let data = null;
  /** @type {any} */ let first = null;
  /** @type {any} */ let firstPlan = null;
  /** Flights as they were: none is changed in place, so that what has not changed is the very same. @type {any[]} */
  let past = [];
  /** `figure` is the one in sight, `now` what was marked last. @type {{field: any, path: (string|number)[], key: string, told: string, now?: any, slider: any, input: any, figure: string}[]} */
  let fields = [];
  /** Fields that hold no number: nothing is planned until they do. @type {Map<string, string>} */
  let unreadable = new Map();
  /** The sections whose figures follow the verdict; until then they are marked as of the figures before. */
  const [later, roomLater] = [$("results"), $("room").parentElement], undo = $("undo");
  const busy = (/** @type {any} */ part, on = true) => mark(part, "aria-busy", on);
  let roomTimer = 0, restTimer = 0, moved = "";

  // ---- figures in the reader's units

  /** @param {number} value @param {string} dimension */
  function show(value, dimension, sign = false, span = false) {
    const [unit, decimals] = span && dimension === "length" ? aircraft.display.span : aircraft.display[dimension];
    const [, factor, offset] = shared.units[unit], digits = ((value - offset) / factor).toFixed(decimals);
    const more = sign && Number(digits) === 0 && Math.abs(value) > 1e-15 ? (value / factor).toPrecision(2) : digits;
    return `${sign && value > 0 ? "+" : ""}${more.replace("-", "−")}\u00a0${unit}`;
  }
  /** @param {number} seconds */
  const clock = (seconds) => `${Math.floor(seconds / 3600)} h ${String(Math.floor((seconds % 3600) / 60)).padStart(2, "0")} min`;
  /** @param {any} limit */
  const margin = (limit) => show(limit.margin, limit.dimension, true, true);
  /** @param {any} limit */
  const unsure = (limit) => show(limit.U, limit.dimension, false, true);

  // ---- the flight as a record

  /** @param {(string|number)[]} path */
  const get = (path, from = data) => path.reduce((at, key) => (at === undefined || at === null ? undefined : at[key]), from);
  /** Another flight with that value; `undefined` takes it out. @param {(string|number)[]} path @param {any} value */
  function set(path, value) {
    const changed = (/** @type {any} */ here, at = 0) => {
      if (at === path.length) return value;
      const other = Array.isArray(here) ? [...here] : { ...here }, part = changed(other[path[at]], at + 1);
      if (part === undefined) delete other[path[at]];
      else other[path[at]] = part;
      return other;
    };
    data = changed(data);
  }
  /** A first flight, to be changed: it says so. */
  function start() {
    const [mass] = aircraft.display.mass, [volume, , ] = aircraft.display.volume, litre = shared.units[volume][1];
    const rule = Object.keys(shared.rules).find((key) => aircraft.flows[shared.rules[key].basis]);
    /** @type {any} */
    const load = {};
    /** @type {any} */
    const tanks = {};
    for (const each of aircraft.stations) {
      load[each.name] = each.kind === "seats" ? Array(each.seats).fill(`0 ${mass}`) : `0 ${mass}`;
      if (aircraft.pilot && aircraft.pilot[0] === each.name) load[each.name][aircraft.pilot[1]] = mass === "kg" ? "80 kg" : "175 lb";
    }
    for (const each of aircraft.tanks) tanks[each.name] = `${Math.floor((each.capacity_m3 - each.unusable_m3) / 2 / litre)} ${volume}`;
    const phase = aircraft.flows.cruise ? "cruise" : Object.keys(aircraft.flows).find((each) => each !== "taxi");
    return {
      flight: 1, title: "a start, not your flight", aircraft: aircraft.id, category: Object.keys(aircraft.categories)[0], rules: rule, load,
      fuel: { grade: aircraft.grades[0], temperature: "15 degC", density: { standard: true }, tanks }, trip: [{ phase, time: "30 min" }],
    };
  }

  // ---- fields

  const STEP = { kg: 1, lb: 2, L: 1, USgal: 0.5, impgal: 0.5, min: 5, degC: 1, degF: 2, "kg/L": 0.001, "kg/m3": 1, "lb/USgal": 0.01, "%": 1, cm: 0.1, in: 0.1 };
  const PART = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)((?:\s*(?:\+\/-|±)\s*\S+)?)\s*(\S.*)$/;
  /** Keep what was, change, plan anew; one movement of one field is one step back. @param {() => void} act */
  function change(act, field = "") {
    if (!field || field !== moved) past.push(data);
    if (past.length > 200) past.shift();
    moved = field;
    act();
    update();
  }
  /** Change what has fields of its own, and make them anew. @param {() => void} act */
  const redo = (act) => change(() => { act(); build(); });
  /** A figure with its unit beside it, steps by tap, and a slider where its range is known. @param {string} label
   * @param {(string|number)[]} path @param {string} unit @param {number|null} most */
  function figureField(label, path, unit, most = null) {
    const raw = get(path), part = typeof raw === "string" ? PART.exec(raw.trim()) : null, key = JSON.stringify(path);
    if (part) unit = part[3];
    const id = `f${fields.length}`, spread = part ? part[2].trim() : "", step = STEP[/** @type {keyof STEP} */ (unit)] || 1, digits = (String(step).split(".")[1] || "").length;
    const short = (/** @type {string} */ each) => each.replace(/[\d.]{9,}/g, (digits) => String(Number(Number(digits).toPrecision(6))));
    const value = part ? short(part[1]) : typeof raw === "string" ? raw : "";
    const slider = most === null || !part ? null : make("input", { type: "range", min: 0, max: most, step, "aria-label": label, value });
    const input = make("input", { type: "text", id, inputmode: "decimal", value, "aria-describedby": `${id}w` });
    /** @param {string} typed */
    const take = (typed) => {
      const clean = typed.trim().replace(",", ".");
      if (clean === "" || !isFinite(Number(clean))) unreadable.set(key, `'${typed}' is not a number`);
      else unreadable.delete(key);
      change(() => !unreadable.has(key) && set(path, `${clean}${spread ? ` ${spread}` : ""} ${unit}`), key);
    };
    /** @param {number} way */
    const by = (way) => {
      move(Math.max((Number(own.figure.replace(",", ".")) || 0) + way * step, unit.startsWith("deg") ? -50 : 0));
      moved = "";
    };
    // A figure that a finger moves stands above its field, as letters alone; the field takes it over when the finger rests.
    const above = make("span", { class: "above", "aria-hidden": "true", hidden: true });
    /** @param {number} to */
    const move = (to) => {
      own.figure = to.toFixed(digits);
      if (above.hidden) above.hidden = false;
      put(above, own.figure);
      take(own.figure);
    };
    for (const each of [input, slider]) if (each) each.addEventListener("change", () => { moved = ""; });
    input.addEventListener("focus", () => { input.value = own.figure; above.hidden = true; });
    input.addEventListener("input", () => { own.figure = input.value; above.hidden = true; take(input.value); });
    if (slider) slider.addEventListener("input", () => move(Number(slider.value)));
    const field = make("div", { class: "field" }, make("label", { for: id }, label),
      quick("−", () => by(-1), `less ${label}`), make("div", {}, input, above),
      quick("+", () => by(1), `more ${label}`), make("span", {}, `${unit}${spread ? ` ${short(spread)}` : ""}`),
      ...(slider ? [slider] : []), make("span", { class: "was" }), make("span", { class: "wrong", id: `${id}w` }));
    const own = { field, path, key, told: "|", slider, input, figure: value };
    fields.push(own);
    return field;
  }
  /** @param {string} label @param {(string|number)[]} path @param {[string, string][]} options @param {(value: string) => void} then */
  function choice(label, path, options, then) {
    const id = `f${fields.length}`, now = path.length ? get(path) : options.length ? then.name : "";
    const select = make("select", { id, onchange: () => then(select.value) }, ...options.map(([value, words]) => make("option", { value }, words)));
    select.value = now;
    const field = make("div", { class: "field wide" }, make("label", { for: id }, label), select, make("span", { class: "was" }), make("span", { class: "wrong" }));
    fields.push({ field, path: path.length ? path : ["-"], key: JSON.stringify(path), told: "|", slider: null, input: null, figure: "" });
    return field;
  }
  /** @param {string} title @param {any[]} children */
  const group = (title, ...children) => make("fieldset", {}, make("legend", {}, title), ...children);

  // ---- people: in this page until it is closed, on the device only if asked to

  const KEPT = "planner people";
  /** @type {{name: string, mass: string}[]} */
  let people = [];
  /** Who was put on which seat, by the path of its field. @type {Map<string, string>} */
  const seated = new Map();
  let keeping = false;
  /** @param {any} each */
  const isPerson = (each) => each && typeof each.name === "string" && /\S/.test(each.name) && each.name.length <= 60 && typeof reader.quantity(each.mass, ["mass"]) !== "string";
  try {
    const held = JSON.parse(localStorage.getItem(KEPT) || "null");
    keeping = Array.isArray(held);
    people = keeping ? held.filter(isPerson) : [];
  } catch { /* a browser that keeps nothing for a page */ }
  /** @param {{name: string, mass: string}[]} now */
  function keep(now) {
    people = now;
    try {
      if (keeping) localStorage.setItem(KEPT, JSON.stringify(people));
      else localStorage.removeItem(KEPT);
    } catch {
      keeping = false;
    }
    build();
    markFields([]);
  }
  function peopleGroup() {
    const [mass] = aircraft.display.mass, name = make("input", { type: "text", "aria-label": "name", maxlength: 60 }), weight = make("input", { type: "text", inputmode: "decimal", "aria-label": `mass in ${mass}` });
    const add = () => {
      const person = { name: name.value.trim(), mass: `${weight.value.trim().replace(",", ".")} ${mass}` };
      if (isPerson(person)) keep([...people.filter((each) => each.name !== person.name), person]);
      else put($("said"), "A person needs a name and a mass.");
    };
    const asked = make("input", { type: "checkbox", onchange: () => { keeping = asked.checked; keep(people); } });
    asked.checked = keeping;
    const all = group("People", ...people.map((each) => make("div", { class: "field wide" }, make("span", {}, `${each.name}, ${each.mass}`), button("take out", () => keep(people.filter((other) => other !== each)), `take out ${each.name}`))),
      make("div", { class: "field person" }, name, weight, make("span", {}, mass), button("add", add)),
      row(make("label", { class: "button" }, asked, "\u00a0keep on this device"), button("erase people", () => { keeping = false; keep([]); })));
    all.id = "people";
    return all;
  }
  /** The field of a seat, with who may sit there by name. @param {any} field @param {(string|number)[]} path @param {string} label */
  function seat(field, path, label) {
    if (!people.length) return field;
    const key = JSON.stringify(path), now = people.find((each) => each.name === seated.get(key) && each.mass === get(path));
    const pick = make("select", { "aria-label": `who sits on ${label}`, onchange: () => redo(() => {
      const person = people.find((each) => each.name === pick.value);
      seated.set(key, pick.value);
      if (person) set(path, person.mass);
    }) }, make("option", { value: "" }, "by mass"), ...people.map((each) => make("option", {}, each.name)));
    pick.value = now ? now.name : "";
    field.append(pick);
    return field;
  }

  /** Every field anew, as what is aboard or chosen has changed its shape. */
  function build() {
    fields = [];
    unreadable = new Map();
    const [mass] = aircraft.display.mass, [volume] = aircraft.display.volume;
    const seen = fields, groups = [];
    if (model.aircraft.length > 1) {
      const pick = choice("Aircraft", [], model.aircraft.map((/** @type {any} */ each, /** @type {number} */ at) => [String(at), each.name]), (value) => open(model.aircraft[Number(value)], null));
      pick.querySelector("select").value = String(model.aircraft.indexOf(aircraft));
      groups.push(group("Aircraft", pick));
    }
    if (Object.keys(aircraft.categories).length > 1) groups.push(group("Category", choice("Category", ["category"], Object.keys(aircraft.categories).map((each) => [each, each]), (value) => change(() => set(["category"], value)))));
    const loads = aircraft.stations.flatMap((/** @type {any} */ each) => {
      const raw = get(["load", each.name]), most = each.kind === "seats" ? 130 : each.max_kg === null ? 100 : each.max_kg, top = Math.round(most / shared.units[mass][1]);
      if (raw === undefined) set(["load", each.name], each.kind === "seats" ? Array(each.seats).fill(`0 ${mass}`) : `0 ${mass}`);
      const list = data.load[each.name];
      const short = each.seats > 1 && (!Array.isArray(list) || list.length < each.seats);
      const apart = short ? [row(button(`${each.name}: seat by seat`, () => redo(() => set(["load", each.name], [...(Array.isArray(list) ? list : [list]), ...Array(each.seats).fill(`0 ${mass}`)].slice(0, each.seats)))))] : [];
      if (!Array.isArray(list)) return [...(typeof list === "string" ? [figureField(each.name, ["load", each.name], mass, top * (each.kind === "seats" ? each.seats : 1))] : []), ...apart];
      return [...list.map((entry, at) => {
        const label = list.length > 1 ? `${each.name}, seat ${at + 1}` : each.name, path = ["load", each.name, at];
        if (typeof entry !== "string") return make("p", { class: "small" }, `${label}: ${entry.mass || entry.who || ""} ${entry.how}`);
        const field = figureField(label, path, mass, top);
        return each.kind === "seats" ? seat(field, path, label) : field;
      }), ...apart];
    });
    groups.push(group("Load", ...loads), peopleGroup());
    const tanks = aircraft.tanks.flatMap((/** @type {any} */ each) => {
      const raw = get(["fuel", "tanks", each.name]), usable = each.capacity_m3 - each.unusable_m3, key = raw && typeof raw === "object" ? Object.keys(raw)[0] : null;
      const path = key ? ["fuel", "tanks", each.name, key] : ["fuel", "tanks", each.name];
      const unit = PART.exec(String(get(path)).trim()), factor = unit && shared.units[unit[3]] && shared.units[unit[3]][0] === "volume" ? shared.units[unit[3]][1] : null;
      const field = typeof get(path) === "string" && unit ? figureField(`${each.name} tank, ${key || "usable"}`, path, volume, factor ? Math.floor((usable / factor) * 100) / 100 : null)
        : make("p", {}, `${each.name} tank: ${key ? get(path) : raw} `, button("in figures", () => redo(() => set(["fuel", "tanks", each.name], `${((usable / 2) / shared.units[volume][1]).toFixed(0)} ${volume}`))));
      return [field, row(...["full", "empty", ...Object.keys(each.marks)].map((mark) => button(mark, () => redo(() => set(["fuel", "tanks", each.name], mark)), `${each.name} tank ${mark}`)))];
    });
    const spec = data.fuel.density, way = ["standard", "at_15C", "measured", "fixed"].find((each) => spec[each] !== undefined) || "standard";
    const grade = shared.grades[data.fuel.grade], [unit, decimals] = aircraft.display.density;
    const usual = `${((grade ? grade.standard_density_kg_per_m3 : 720) / shared.units[unit][1]).toFixed(decimals)} ${unit}`;
    const ways = choice("Density is", ["fuel", "density"], [["standard", "standard of the grade"], ["at_15C", "stated at 15 degC"], ["measured", "measured"], ["fixed", "fixed"]],
      (value) => redo(() => set(["fuel", "density"], value === "standard" ? { standard: true } : value === "measured" ? { measured: usual, at: "15 degC" } : { [value]: usual })));
    ways.querySelector("select").value = way;
    groups.push(group("Fuel", ...tanks, choice("Grade", ["fuel", "grade"], aircraft.grades.map((/** @type {string} */ each) => [each, shared.grades[each].name]), (value) => change(() => set(["fuel", "grade"], value))), ways,
      ...(way === "standard" ? [] : [figureField("Density", ["fuel", "density", way], unit)]), ...(way === "measured" ? [figureField("of a sample at", ["fuel", "density", "at"], "degC")] : []),
      ...(data.fuel.temperature === undefined ? [] : [figureField("Fuel temperature", ["fuel", "temperature"], "degC")])));
    /** @param {any} phase @param {(string|number)[]} path @param {string} name */
    const phaseFields = (phase, path, name) => {
      const figures = ["time", "fuel", "flow"].filter((key) => phase[key] !== undefined).map((key) => figureField(`${name}${key === "time" ? "" : `, ${key}`}`, [...path, key], key === "time" ? "min" : volume));
      const names = aircraft.tanks.map((/** @type {any} */ each) => each.name), own = JSON.stringify(phase.tank);
      if (names.length < 2) return figures;
      const options = names.map((/** @type {string} */ each) => [JSON.stringify(each), each]);
      if (own && !names.includes(phase.tank)) options.push([own, [phase.tank].flat().join(" and ")]);
      const pick = choice(`${name}, from`, [...path, "tank"], [["", "the usual order"], ...options], (value) => change(() => set([...path, "tank"], value ? JSON.parse(value) : undefined)));
      pick.querySelector("select").value = own || "";
      return [...figures, pick];
    };
    const phases = Object.keys(aircraft.flows);
    groups.push(group("Trip", ...data.trip.flatMap((/** @type {any} */ each, /** @type {number} */ at) => [...phaseFields(each, ["trip", at], `${at + 1} ${each.phase}`),
      row(button(`take out ${each.phase}`, () => redo(() => set(["trip"], data.trip.filter((/** @type {any} */ other) => other !== each))), `take out phase ${at + 1}`))]),
      row(...phases.map((phase) => button(`add ${phase}`, () => redo(() => set(["trip"], phase === "taxi" ? [{ phase, time: "5 min" }, ...data.trip] : [...data.trip, { phase, time: "15 min" }])))))));
    const rules = Object.entries(shared.rules).filter(([, rule]) => aircraft.flows[rule.basis]).map(([key, rule]) => /** @type {[string, string]} */ ([key, `${rule.name}: ${rule.final_reserve_s / 60} min at ${rule.basis}`]));
    /** @param {string} key @param {string} words @param {string} value */
    const further = (key, words, value) => (data[key] === undefined || data[key] === null ? [row(button(`add ${words}`, () => redo(() => set([key], key === "alternate" ? { phase: "cruise", time: "15 min" } : value))))]
      : [...(key === "alternate" ? phaseFields(data.alternate, ["alternate"], "Alternate") : [figureField(words, [key], value.split(" ")[1])]), row(button(`take out ${words}`, () => redo(() => set([key], undefined))))]);
    groups.push(group("Reserve", choice("Rule", ["rules"], rules, (value) => change(() => set(["rules"], value))), make("p", { class: "small", id: "rule" }),
      ...further("alternate", "alternate", ""), ...further("contingency", "contingency", "5 %"), ...further("final_reserve", "final reserve of your own", "60 min"),
      ...further("additional", "additional fuel", `5 ${volume}`), ...further("extra", "extra fuel", `5 ${volume}`), ...further("discretionary", "discretionary fuel", `5 ${volume}`)));
    $("inputs").replaceChildren(...groups);
    fields = seen;
  }

  // ---- planning

  /** @param {any} record @returns {{plan: any, findings: any[]}} */
  function planned(record) {
    const { flight, findings } = reader.read(aircraft, record);
    if (findings.some((each) => each.severity !== "notice")) return { plan: null, findings };
    try {
      const plan = evaluator.evaluate(aircraft, flight);
      if (heavier(record)) weigh(plan, flight);
      findings.push(...reader.notices(aircraft, flight, plan));
      return { plan: findings.some((each) => each.severity !== "notice") ? null : plan, findings };
    } catch (error) {
      if (error instanceof evaluator.Refused) return { plan: null, findings: [...findings, ...error.findings] };
      return { plan: null, findings: [...findings, { where: [], what: `the page itself failed: ${error}` }] };
    }
  }
  /** The fuel that the ledger says may be there besides, while the tanks are as opened. @param {any} record */
  const heavier = (record) => opening && opening.heavier && record.aircraft === opening.flight.aircraft && same(record.fuel.tanks, opening.flight.fuel.tanks) ? opening.heavier : null;
  /** Every limit that the highest quantity of the ledger brings to a worse verdict counts. @param {any} plan @param {any} flight */
  function weigh(plan, flight) {
    const tanks = Object.fromEntries(Object.entries(opening.heavier).map(([tank, text]) => [tank, { usable: reader.quantity(text, ["volume"]) }]));
    const { limits } = evaluator.evaluate(aircraft, { ...flight, fuel: { ...flight.fuel, tanks } }), key = (/** @type {any} */ each) => `${each.id}/${each.place}${each.variant}`;
    const here = new Map(plan.limits.map((/** @type {any} */ each) => [key(each), evaluator.ORDER.indexOf(each.verdict)]));
    const worse = limits.filter((each) => each.verdict !== "inside" && evaluator.ORDER.indexOf(each.verdict) > (here.get(key(each)) ?? -1));
    plan.limits.push(...worse.map((each) => ({ ...each, variant: `${each.variant} with the highest quantity of the ledger` })));
    plan.verdict = evaluator.worst([plan.verdict, ...worse.map((each) => each.verdict)]);
  }
  const expiry = new Date(`${model.valid_until}T23:59:59.999`).getTime(); // of the reader's own day
  const stale = () => Date.now() > expiry && !confirmed;

  /** The limit of each kind that decides, in words. @param {any} plan */
  function decides(plan) {
    const found = [], rank = (/** @type {string} */ each) => evaluator.ORDER.indexOf(each);
    for (const groups of [["forward", "aft", "lateral"], ["mass"], ["load"], ["tank"]]) {
      const own = plan.limits.filter((/** @type {any} */ each) => groups.includes(each.group));
      if (!own.length) continue;
      const free = (/** @type {any} */ each) => (each.doubt ? each.doubt.margin - each.doubt.U : each.margin - each.U);
      // Of two as near the first, or the words would turn with the last digit.
      const worst = own.reduce((/** @type {any} */ a, /** @type {any} */ b) => (rank(b.verdict) > rank(a.verdict) || (b.verdict === a.verdict && free(b) < free(a) - 1e-9) ? b : a));
      found.push([worst.verdict, `${worst.name}${worst.variant}, ${PLACES[/** @type {keyof PLACES} */ (worst.place)]}: ${margin(worst)} (U ${unsure(worst)})`]);
    }
    found.push([plan.fuel.verdict, `fuel beyond the required: ${show(plan.fuel.surplus, "volume", true)} (U ${show(plan.fuel.U, "volume")})`]);
    const bad = found.filter(([each]) => each !== "inside");
    return (bad.length ? bad.map(([each, words]) => `${each}: ${words}`) : found.slice(0, 2).concat(found.slice(-1)).map((each) => each[1])).join("; ");
  }

  /** A table into a place; one of the same shape that is there already gets new words only. @param {any} place
   * @param {any[][]} rows the first is the heading @param {string[]} classes */
  function table(place, rows, classes = []) {
    const old = place.querySelector(":scope > table"), cells = rows.flat(), shape = `${rows.length}/${cells.length}`;
    if (old && old.dataset.shape === shape) {
      old.querySelectorAll("th, td").forEach((/** @type {any} */ node, /** @type {number} */ at) => put(node, cells[at]));
      old.querySelectorAll("tbody tr").forEach((/** @type {any} */ node, /** @type {number} */ at) => mark(node, "class", classes[at] || ""));
    } else
      place.replaceChildren(make("table", { "data-shape": shape }, make("thead", {}, make("tr", {}, ...rows[0].map((each) => make("th", { scope: "col" }, each)))),
        make("tbody", {}, ...rows.slice(1).map((row, at) => make("tr", { class: classes[at] || "" }, ...row.map((each) => make("td", {}, each)))))));
  }
  /** @param {string} word */
  const look = (word) => (word === "outside" ? "out" : word === "inside" ? "" : "open");

  /** Marks on the fields: what is wrong with each, and what it was. @param {any[]} wrong */
  function markFields(wrong) {
    for (const each of fields) {
      const { field, path, key } = each, now = get(path);
      if (now === each.now && each.told[0] === "|" && !wrong.length && !unreadable.has(key)) continue;
      each.now = now;
      const own = wrong.filter(({ where }) => where.length && path.every((part, at) => where[at] === part || (at === path.length - 1 && where.length <= at && where.length > 1)));
      const words = unreadable.get(key) || own.map(({ what }) => what).join("; "), before = get(path, first);
      const was = typeof before === "string" && before !== now ? `was ${before}` : "";
      if (each.told === `${words}|${was}`) continue;
      each.told = `${words}|${was}`;
      field.classList.toggle("bad", Boolean(words));
      field.classList.toggle("told", Boolean(was));
      put(field.querySelector(".wrong"), words);
      put(field.querySelector(".was"), was);
      for (const input of field.querySelectorAll("input, select")) mark(input, "aria-invalid", Boolean(words));
    }
  }

  function update() {
    const { plan, findings } = planned(data), shownPlan = unreadable.size || stale() ? null : plan;
    const wrong = findings.filter((each) => each.severity !== "notice");
    markFields(wrong);
    undo.disabled = !past.length;
    clearTimeout(roomTimer);
    clearTimeout(restTimer);
    // What the picture does not need waits for a pause, so that the verdict follows the finger.
    busy(later);
    restTimer = window.setTimeout(() => rest(shownPlan, findings), 60);
    if (shownPlan) {
      const kind = shownPlan.verdict;
      verdict(kind === "inside" ? "Inside all limits" : kind === "outside" ? "Outside" : "Not shown inside", decides(shownPlan), kind);
      draw(shownPlan);
      return;
    }
    for (const id of ["picture", "states", "limits", "crossings", "fuel", "endurance", "room", "compared"]) $(id).replaceChildren("–");
    drawn = null;
    if (stale()) verdict("Record out of date", `This page holds until ${model.valid_until}. Check the mass record of ${aircraft.record_date}, or have the page written anew.`, "none");
    else verdict("Not planned", [...unreadable.values(), ...wrong.map((each) => each.what)].slice(0, 3).join("; "), "none");
  }

  /** Everything beside verdict and picture, once the finger rests. @param {any} plan @param {any[]} findings */
  function rest(plan, findings) {
    try { history.replaceState(null, "", `#${encodeURIComponent(JSON.stringify(data))}`); } catch { /* too many a minute for this browser: the next one carries it */ }
    const rule = shared.rules[data.rules], grade = shared.grades[data.fuel.grade];
    if (!deciding.className || deciding.scrollHeight > deciding.clientHeight) {
      deciding.className = "";
      deciding.style.setProperty("--high", `${deciding.offsetHeight}px`);
      deciding.className = "still";
      fitting = deciding.textContent.length;
    }
    $("confirm").hidden = !stale();
    put($("said"), `${said.textContent}. ${deciding.textContent}`);
    if (rule && $("rule")) put($("rule"), [`${rule.citation}, read ${rule.read}${rule.tag ? ` (${rule.tag})` : ""}: ${rule.final_reserve_s / 60} min at ${rule.basis_words}`, ...(rule.conditions || []), ...(rule.note ? [rule.note] : [])].join("; "));
    list("looks", model.before_start.map((/** @type {string} */ each) => each.replace("{dye}", grade ? grade.dye : "of the grade").replace("{grade}", grade ? grade.name : "as ordered")));
    list("notices", findings.length ? findings.map((each) => each.what) : ["none"]);
    for (const { slider, input, figure } of fields) for (const each of [input, slider]) if (each && each.value !== figure) each.value = figure;
    busy(later, false);
    busy(roomLater, Boolean(plan));
    if (!plan) return;
    tell(plan);
    put(drawn.title, `CG against mass. Take-off ${show(plan.states[1].total.mass, "mass")} at ${show(plan.states[1].cg, "length")}; ${plan.verdict}.`);
    roomTimer = window.setTimeout(() => room(data), 250);
  }
  /** @param {string} id @param {string[]} texts */
  function list(id, texts) {
    if ($(id).dataset.told === texts.join("|")) return;
    $(id).dataset.told = texts.join("|");
    $(id).replaceChildren(...texts.map((each) => make("li", {}, each)));
  }

  /** @param {any} plan */
  function tell(plan) {
    const chord = aircraft.chord_m, bare = (/** @type {number} */ value, /** @type {string} */ dimension) => show(value, dimension).split("\u00a0")[0], unit = (/** @type {string} */ each) => aircraft.display[each][0];
    const rows = [["State", `Mass, ${unit("mass")}`, `CG, ${unit("length")}`, ...(chord ? ["% MAC"] : []), ...(aircraft.lateral_known ? [`Lateral, ${unit("length")}`] : []), `Fuel, ${unit("volume")}`]];
    for (const each of plan.states)
      rows.push([PLACES[/** @type {keyof PLACES} */ (each.name)], bare(each.total.mass, "mass"), bare(each.cg, "length"), ...(chord ? [((100 * (each.cg - chord[0])) / chord[1]).toFixed(1)] : []),
        ...(aircraft.lateral_known ? [bare(each.total.lateral / each.total.mass, "length")] : []), bare(each.fuel, "volume")]);
    table($("states"), rows);
    const { limits, fuel } = plan, named = (/** @type {any} */ each) => `${each.name}${each.variant}, ${PLACES[/** @type {keyof PLACES} */ (each.place)]}`;
    table($("limits"), [["Limit", "Margin", "U", "Verdict"], ...limits.map((/** @type {any} */ each) => [named(each), margin(each), unsure(each),
      each.doubt ? `${each.verdict} with ${show(each.doubt.fuel, "volume")} left` : each.verdict])], limits.map((/** @type {any} */ each) => look(each.verdict)));
    if (plan.burn.crossings.length)
      table($("crossings"), [["The burn", "with this fuel left", "from take-off"], ...plan.burn.crossings.map((/** @type {any} */ each) => [`${each.direction === "out" ? "leaves" : "comes inside"}: ${each.name}`, show(each.point.fuel, "volume"), clock(each.point.time)])]);
    else $("crossings").replaceChildren(make("p", { class: "small" }, plan.burn.limits.some((/** @type {any} */ each) => each.margin < 0) ? "The burn crosses no limit, but is outside of one all along." : "The burn crosses no limit."));
    table($("fuel"), [["Fuel", "Volume", "Time"], ...fuel.lines.map((/** @type {any} */ each) => [each.name, show(each.volume, "volume"), each.time === null ? "–" : `${(each.time / 60).toFixed(0)} min`]),
      ["required", show(fuel.required, "volume"), ""], ["aboard", show(fuel.aboard, "volume"), show(fuel.aboardMass, "mass")], [`beyond the required, U ${show(fuel.U, "volume")}`, show(fuel.surplus, "volume", true), fuel.verdict]],
      [...fuel.lines.map(() => ""), "", "", look(fuel.verdict)]);
    put($("endurance"), `Endurance from take-off: ${clock(fuel.endurance)}. Density in the tanks: ${show(plan.density.density, "density")} (u ${show(plan.density.u, "density")}).`);
    if (!firstPlan) { $("compared").replaceChildren("as first opened"); return; }
    const key = (/** @type {any} */ each) => `${each.id}/${each.place}${each.variant}`, old = new Map(firstPlan.limits.map((/** @type {any} */ each) => [key(each), each]));
    const moved = limits.filter((/** @type {any} */ each) => old.has(key(each)) && Math.abs(old.get(key(each)).margin - each.margin) > 1e-9).sort((/** @type {any} */ a, /** @type {any} */ b) => a.margin / Math.abs(a.limit || 1) - b.margin / Math.abs(b.limit || 1)).slice(0, 8);
    table($("compared"), [["", "opened", "now"], ["verdict", firstPlan.verdict, plan.verdict], ["take-off mass", show(firstPlan.states[1].total.mass, "mass"), show(plan.states[1].total.mass, "mass")],
      ["take-off CG", show(firstPlan.states[1].cg, "length"), show(plan.states[1].cg, "length")], ["fuel beyond the required", show(firstPlan.fuel.surplus, "volume", true), show(fuel.surplus, "volume", true)],
      ...moved.map((/** @type {any} */ each) => [named(each), margin(old.get(key(each))), margin(each)])]);
  }

  /** How much more each station holds, one step after the other, a few milliseconds at a time. @param {any} from */
  function room(from) {
    const unit = aircraft.display.mass[0], step = unit === "kg" ? 1 : 2, most = 200;
    /** @type {any[][]} */
    const rows = [];
    const places = aircraft.stations.map((/** @type {any} */ each) => ({ name: each.name, more: -step }));
    const turn = () => {
      const until = performance.now() + 6;
      while (places.length && performance.now() < until) {
        const [place] = places, { name } = place, { held, plan } = added(from, name, Math.max(place.more + step, 0) * shared.units[unit][1]);
        if (held && plan && plan.verdict === "inside" && place.more < most) { place.more += step; continue; }
        rows.push([name, !held ? "its last mass is not a plain figure" : place.more < 0 ? "none: not shown inside now" : place.more >= most ? `${most} ${unit} or more` : `${place.more} ${unit}`]);
        places.shift();
      }
      if (places.length) roomTimer = window.setTimeout(turn, 0);
      else {
        table($("room"), [["Place", "Room"], ...rows]);
        busy(roomLater, false);
      }
    };
    turn();
  }
  /** A flight with more [kg] on the last mass of a station, planned. @param {any} record @param {string} station @param {number} more */
  function added(record, station, more) {
    const raw = record.load[station], last = Array.isArray(raw) ? raw[raw.length - 1] : raw, held = typeof last === "string" ? reader.quantity(last, ["mass"]) : null;
    if (!held || typeof held === "string") return { held: null, plan: null };
    const laden = `${held.value + more}${held.u ? ` +/- ${held.u}` : ""} kg`, load = { ...record.load, [station]: Array.isArray(raw) ? [...raw.slice(0, -1), laden] : laden };
    return { held, plan: planned({ ...record, load }).plan };
  }

  // ---- the picture: its nodes stay, and only what has moved is written

  const W = 3600, H = 2580, L = 460, R = 220, T = 150, B = 360; // R, T: room for half a tick's words, and for a letter beside a dot at the very edge
  // Outlines of R, T, L and Z, all of one sense but the eye of R, and of a dot: corners alone, as a frame takes them
  // over with no style, no text and no group to work out; in tenths, as whole numbers are written the quickest.
  const LETTERS = [[[0, 90, 0, 0, 40, 0, 56, 8, 62, 25, 56, 42, 46, 49, 66, 90, 52, 90, 33, 52, 12, 52, 12, 90], [12, 12, 12, 40, 38, 40, 46, 35, 49, 25, 46, 17, 38, 12]],
    [[0, 0, 60, 0, 60, 12, 36, 12, 36, 90, 24, 90, 24, 12, 0, 12]], [[0, 0, 12, 0, 12, 78, 50, 78, 50, 90, 0, 90]], [[0, 0, 60, 0, 60, 12, 16, 78, 60, 78, 60, 90, 0, 90, 0, 78, 44, 12, 0, 12]]];
  const DOT = Array.from({ length: 10 }, (_, i) => [Math.round(40 * Math.cos((i * Math.PI) / 5)), Math.round(40 * Math.sin((i * Math.PI) / 5))]).flat();
  /** Corners moved to a place, from the origin of the picture and back to it, which is no area: so they are parts of
   * one shape. @param {number[]} corners @param {number} x @param {number} y */
  function placed(corners, x, y) {
    let told = "0 0 ";
    for (let at = 0; at < corners.length; at += 2) told += `${corners[at] + x} ${corners[at + 1] + y} `;
    return `${told}${corners[0] + x} ${corners[1] + y} `;
  }
  /** @type {any} */ let drawn = null;
  /** Nodes for the envelope of this category and axes that hold `points`. @param {number[][]} points */
  function frame(points) {
    const limits = evaluator.limitsOf(aircraft, data.category), of = (/** @type {string} */ id) => limits.find((each) => each.id === id && each.place === "burn").pieces;
    const forward = of("cg/forward"), aft = of("cg/aft"), least = Math.max(forward[1].low, aft[1].low), most = Math.min(forward[forward.length - 1].low, aft[aft.length - 1].low);
    // The masses flown and the top of the envelope, with room for moving below.
    const masses = points.map((each) => each[1]), lowest = Math.min(...masses), top = Math.max(most, ...masses), foot = Math.min(Math.max(lowest - 0.6 * Math.max(top - lowest, 0.02 * top), least), lowest);
    const base = Math.max(foot, least);
    /** @param {any[]} pieces */
    const side = (pieces) => [...new Set([base, ...pieces.slice(1).map((each) => each.low).filter((m) => m > foot && m < most), ...Array.from({ length: 25 }, (_, i) => base + ((most - base) * i) / 24)])].sort((a, b) => a - b)
      .map((m) => { const piece = m >= most ? pieces[pieces.length - 2] : evaluator.pieceAt(pieces, m); return [evaluator.armOf(piece, m), m]; });
    const outline = [...side(forward), ...side(aft).reverse()], all = [...outline, ...points];
    const [x0, x1] = span(all.map((each) => each[0])), [y0, y1] = span(all.map((each) => each[1]));
    const X = (/** @type {number} */ x) => L + ((x - x0) / (x1 - x0)) * (W - L - R), Y = (/** @type {number} */ y) => H - B - ((y - y0) / (y1 - y0)) * (H - B - T);
    const line = (/** @type {number[][]} */ each) => each.map(([x, y]) => `${Math.round(X(x))},${Math.round(Y(y))}`).join(" ");
    // The foot is a limit only where the envelope ends there.
    const parts = [make("svg:polygon", { points: line(outline), fill: "var(--soft)" }), make("svg:polyline", { points: line(foot > least ? outline : [...outline, outline[0]]), fill: "none", stroke: "var(--ink)", "stroke-width": 12 })];
    for (const [dimension, low, high, across] of /** @type {[string, number, number, boolean][]} */ ([["length", x0, x1, true], ["mass", y0, y1, false]])) {
      const [unit] = aircraft.display[dimension], factor = shared.units[unit][1], raw = (high - low) / factor / 4, ten = 10 ** Math.floor(Math.log10(raw)), step = [1, 2, 5, 10].map((each) => each * ten).find((each) => each >= raw) || raw;
      for (let tick = Math.ceil(low / factor / step) * step; tick * factor < high; tick += step) {
        const at = across ? X(tick * factor) : Y(tick * factor), label = tick.toFixed(Math.max(0, -Math.floor(Math.log10(step) + 1e-9)));
        parts.push(make("svg:line", across ? { x1: at, x2: at, y1: H - B, y2: H - B + 40, "stroke-width": 10, stroke: "var(--line)" } : { x1: L - 40, x2: L, y1: at, y2: at, "stroke-width": 10, stroke: "var(--line)" }),
          make("svg:text", across ? { x: at, y: H - B + 150, "text-anchor": "middle" } : { x: L - 60, y: at + 40, "text-anchor": "end" }, label));
      }
      parts.push(make("svg:text", across ? { x: W - 80, y: H - 30, "text-anchor": "end" } : { x: 20, y: 120 }, across ? `CG, ${unit}` : unit));
    }
    const burn = make("svg:polyline", { fill: "none", stroke: "var(--ink)", "stroke-width": 35 }), title = make("svg:title", {});
    const dots = ["in", "out"].map((look) => make("svg:polygon", { class: look, fill: "currentColor" }));
    $("picture").replaceChildren(make("svg:svg", { viewBox: `0 0 ${W} ${H}`, role: "img" }, title, ...parts, burn, ...dots));
    return { category: data.category, aircraft, X, Y, line, title, burn, dots, scale: (W - L - R) / (x1 - x0), holds: (/** @type {number[]} */ [x, y]) => x0 <= x && x <= x1 && y0 <= y && y <= y1 };
  }
  /** Least and greatest with some room. @param {number[]} each */
  function span(each) {
    const low = Math.min(...each), high = Math.max(...each), more = (high - low || 1) * 0.06;
    return [low - more, high + more];
  }

  /** The burn as CG and mass, with places between where a stretch bends to be seen. @param {any[]} path */
  function burnt(path) {
    /** @type {number[][]} */
    const found = [];
    for (const { start, end, moment: [a, b, c] } of path) {
      const at = (/** @type {number} */ part) => { const m = start + (end - start) * part; return [a / m + b + c * m, m]; };
      const first = at(0), last = at(1), straight = Math.abs(at(0.5)[0] - (first[0] + last[0]) / 2) < 2e-5;
      if (!found.length) found.push(first);
      if (!straight) for (let i = 1; i < 8; i++) found.push(at(i / 8));
      found.push(last);
    }
    return found;
  }

  /** @param {any} plan */
  function draw(plan) {
    const burn = burnt(plan.burn.path), points = [...burn, ...plan.states.map((/** @type {any} */ each) => [each.cg, each.total.mass])];
    // The axes stay where they are while figures move, and widen where a figure leaves them.
    if (!drawn || drawn.aircraft !== aircraft || drawn.category !== data.category || !points.every(drawn.holds)) drawn = frame([...points, ...(drawn && drawn.aircraft === aircraft ? drawn.shown : [])]);
    drawn.shown = points;
    mark(drawn.burn, "points", drawn.line(burn));
    const shapes = ["", ""];
    plan.states.forEach((/** @type {any} */ { cg, total, limits }, /** @type {number} */ at) => {
      let U = 0, look = 0;
      for (const one of limits) {
        if (one.id.startsWith("cg/")) U = Math.max(U, one.U);
        if (one.verdict === "outside") look = 1;
      }
      const x = Math.round(drawn.X(cg)), y = Math.round(drawn.Y(total.mass)), half = Math.round(U * drawn.scale);
      shapes[look] += placed(DOT, x, y) + placed([half, -10, half, 10, -half, 10, -half, -10], x, y);
      for (const each of LETTERS[at]) shapes[look] += placed(each, at % 2 ? x - 140 : x + 80, at < 2 ? y - 140 : y + 45);
    });
    shapes.forEach((shape, look) => mark(drawn.dots[look], "points", shape));
  }

  // ---- opening, saving

  /** @param {any} which @param {any} record */
  function open(which, record) {
    aircraft = which;
    data = record || start();
    past = [];
    $("name").textContent = `${aircraft.name}${aircraft.invented ? " (invented)" : ""}`;
    $("record").textContent = `Mass record of ${aircraft.record_date}, id ${aircraft.record_id}; this page holds until ${model.valid_until}, written ${model.written}; digest of its model ${box.dataset.digest.slice(0, 16)}. ${aircraft.source}`;
    $("drains").replaceChildren(...aircraft.drains.map((/** @type {string} */ each) => make("li", {}, make("label", {}, make("input", { type: "checkbox" }), ` ${each}`))));
    const told = [...(aircraft.invented ? [model.invented] : []), ...model.cautions];
    $("caution").textContent = `CAUTION: ${aircraft.invented ? `${model.invented} ` : ""}${model.caution}`;
    $("all").replaceChildren(...told.map((each) => make("li", {}, each)));
    if (reader.read(aircraft, data).findings.some((each) => each.where.length < 2 && each.severity !== "notice")) { first = null; firstPlan = null; }
    try {
      build();
    } catch {
      $("inputs").replaceChildren("This flight is not whole; open another, or reset.");
    }
    first = data;
    firstPlan = planned(first).plan;
    update();
  }
  /** A flight from outside, checked like any input. @param {string} written */
  function openText(written) {
    let record = null;
    try {
      record = JSON.parse(written);
    } catch {
      verdict("Not planned", "This is no flight in JSON syntax; a flight in YAML is read in the terminal.", "none");
      return;
    }
    const own = record && model.aircraft.find((/** @type {any} */ each) => each.id === record.aircraft), { findings } = own ? reader.read(own, record) : { findings: [{ where: [], what: "its aircraft is not on this page", severity: "" }] };
    const wrong = findings.filter((each) => each.severity !== "notice");
    if (wrong.length) verdict("Not opened", wrong.map((each) => each.what).slice(0, 4).join("; "), "none");
    else open(own, record);
  }
  undo.addEventListener("click", () => { const last = past.pop(); if (last) { data = last; build(); update(); } });
  $("reset").addEventListener("click", () => change(() => { data = first; build(); }));
  $("save").addEventListener("click", () => {
    if (unreadable.size) { $("said").textContent = "Not saved: a field holds no number."; return; }
    // With the ledger's figures untouched the ledger itself is named, as it may say more than one figure does.
    const { tanks, ...rest } = data.fuel, saved = heavier(data) ? { ...data, fuel: { ...rest, from: "ledger" } } : data;
    const link = make("a", { href: `data:application/json,${encodeURIComponent(JSON.stringify(saved, null, 1))}`, download: "flight.json" });
    link.click();
  });
  $("link").addEventListener("click", () => {
    if (navigator.clipboard) navigator.clipboard.writeText(location.href).then(() => { $("said").textContent = "The link is copied."; }, () => {});
    $("said").textContent = "The address of this page carries the loading.";
  });
  $("open").addEventListener("change", async () => { const [file] = $("open").files; if (file) openText(await file.text()); });
  $("confirm").addEventListener("click", () => { confirmed = true; update(); });
  $("wall").addEventListener("click", () => { const on = document.documentElement.classList.toggle("wall"); document.body.classList.toggle("wall", on); $("wall").setAttribute("aria-pressed", String(on)); });
  $("cautions").addEventListener("click", () => { const shown_ = $("all").hidden; $("all").hidden = !shown_; $("cautions").setAttribute("aria-expanded", String(shown_)); if (shown_) $("all").focus(); });
  if (opening) {
    $("wall").click();
    for (const [id, texts] of [["told", opening.notices], ["sources", opening.sources]]) $(id).replaceChildren(...texts.map((/** @type {string} */ each) => make("li", {}, each)));
    $("digest").textContent = opening.digest;
    $("opened").hidden = false;
  }
  let carried = "";
  try { carried = decodeURIComponent(location.hash.slice(1)); } catch { carried = "-"; }
  open(model.aircraft[0], opening ? opening.flight : null);
  if (carried) openText(carried);
  document.documentElement.dataset.ready = "1";
})();
