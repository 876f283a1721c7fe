// @ts-check
/** A problem set on a phone: reads what is written, says whether it is taken as right, shows the solution, hands the answers out. */
"use strict";

(() => {
  /** @param {string} id @returns {any} */
  const $ = (id) => document.getElementById(id);
  const model = JSON.parse($("model").textContent);
  /** @type {{name: string, given: Record<string, string>, marked: number[]}} */
  let held = { name: "", given: {}, marked: [] };

  /** FNV-1a of ASCII text, 32 bits. @param {string} text */
  const fnv = (text) => [...text].reduce((h, sign) => Math.imul(h ^ sign.charCodeAt(0), 0x01000193) >>> 0, 0x811c9dc5);
  /** @param {...(string | number)} parts */
  const sealed = (...parts) => fnv([model.salt, ...parts].join("/"));

  /** Text that was made unreadable at a glance. @param {string} hidden @param {string} key */
  function plain(hidden, key) {
    let state = sealed(key);
    const bytes = Uint8Array.from(atob(hidden), (sign) => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      return sign.charCodeAt(0) ^ (state >>> 24);
    });
    return new TextDecoder().decode(bytes);
  }

  /** A figure as written, as planner/school/marking/writing.py reads it; or why it cannot be read. @param {string} text @param {string} unit */
  function read(text, unit) {
    const bare = unit && text.endsWith(unit) ? text.slice(0, -unit.length).trim() : text;
    const point = bare.replace(/^([-+−]?\s*(?:0(?=,)|\d+(?=,(?!\d{3}(?!\d))))),(\d+)(?![\d.,])/, "$1.$2");
    if (/^[-+−]?\s*[\d.]+,\d/.test(point)) return { told: "the comma may mark decimals or thousands: write a decimal point, and nothing between thousands" };
    const match = /^([-+−]?\s*(?:\d+\.?\d*|\.\d+))$/.exec(point);
    if (!match) return { told: unit ? `needed a number; its unit, ${unit}, stands beside it` : "needed a plain number" };
    const digits = match[1].replace(/\s/g, "").replace("−", "-");
    return { value: Number(digits), decimals: (digits.split(".")[1] || "").length };
  }

  /** Whether a figure lies in a range that is known by its width, its place within that width, and a hash of which one it is. @param {any[]} range @param {string} label @param {number} value */
  const within = ([wide, offset, hash], label, value) => sealed(label, Math.floor((value - offset) / wide)) === hash;

  /** @param {any} ask @param {string} text */
  function judged(ask, text) {
    if (!text) return { points: 0, told: "no answer" };
    if (ask.choices) return sealed(ask.label, text) === ask.right ? { points: 1, told: "right" } : { points: 0, told: "wrong" };
    const found = read(text, ask.unit);
    if (found.value === undefined) return { unread: true, points: 0, told: found.told };
    if (within(ask.right, ask.label, found.value)) return { points: 1, told: "right" };
    const rough = ask.coarse[found.decimals];
    if (rough && within(rough, ask.label, found.value)) return { points: 0.5, told: "right, with too few figures" };
    return { points: 0, told: "wrong" };
  }

  /** @param {string} label */
  const fields = (label) => /** @type {HTMLInputElement[]} */ ([...document.getElementsByName(label)]);
  /** @param {string} label */
  const written = (label) => {
    const all = fields(label), one = all[0].type === "radio" ? all.find((each) => each.checked) : all[0];
    return one ? one.value.trim() : "";
  };

  /** Marks one problem for good, unless something in it cannot be read. @param {number} number */
  function mark(number) {
    const problem = model.problems[number], marks = problem.asks.map((/** @type {any} */ ask) => judged(ask, written(ask.label)));
    const unread = marks.some((/** @type {any} */ each) => each.unread);
    problem.asks.forEach((/** @type {any} */ ask, /** @type {number} */ at) => {
      const shown = $(`told-${ask.label}`), { points, told, unread: bad } = marks[at];
      shown.textContent = unread && !bad ? "" : bad ? `cannot be read: ${told}` : `${points === 1 ? "✓" : points ? "½" : "✗"} ${told}`;
      shown.className = `told ${bad ? "wrong" : points === 1 ? "right" : "wrong"}`;
      if (!unread) fields(ask.label).forEach((each) => { each.readOnly = true; if (each.type === "radio") each.onclick = () => false; });
    });
    if (unread) return;
    if (!held.marked.includes(number)) held.marked.push(number);
    problem.points = marks.reduce((/** @type {number} */ sum, /** @type {any} */ each) => sum + each.points, 0);
    $(`solution-${number}`).innerHTML = plain(problem.solution, `solution ${number}`);
    $(`solution-${number}`).hidden = false;
    $(`mark-${number}`).hidden = true;
    const done = model.problems.filter((/** @type {any} */ each) => each.points !== undefined);
    const [earned, of] = done.reduce(([a, b], /** @type {any} */ each) => [a + each.points, b + each.asks.length], [0, 0]);
    $("score").textContent = `${earned} of ${of} points, ${done.length} of ${model.problems.length} problems marked.`;
  }

  /** What was written so far, kept in the address, so that a page put aside comes back as it was. */
  function keep() {
    held.name = $("name").value;
    for (const { label } of model.problems.flatMap((/** @type {any} */ each) => each.asks)) held.given[label] = written(label);
    history.replaceState(null, "", `#${encodeURIComponent(JSON.stringify(held))}`);
  }

  /** The answers as a file for `planner mark`, each with its unit. */
  function file() {
    const asks = model.problems.flatMap((/** @type {any} */ each) => each.asks), given = [];
    for (const { label, unit, choices } of asks) {
      const text = written(label);
      const whole = choices ? choices[Number(text)] : unit && !text.endsWith(unit) ? `${text} ${unit}` : text;
      if (text) given.push(`${JSON.stringify(label)}: ${JSON.stringify(whole)}`);
    }
    const name = $("name").value.trim().replace(/\s+/g, " ");
    const all = `{${given.join(", ")}}\n`;
    return `# answers to the sheet ${model.code}\nanswers: 1\n${name ? `learners:\n  ${JSON.stringify(name)}: ` : "given: "}${all}`;
  }

  $("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = `data:text/yaml;charset=utf-8,${encodeURIComponent(file())}`;
    link.download = "answers.yaml";
    link.click();
  });
  document.addEventListener("input", keep);
  document.querySelectorAll("form").forEach((form, number) => form.addEventListener("submit", (event) => {
    event.preventDefault();
    mark(number);
    keep();
  }));
  try {
    held = JSON.parse(decodeURIComponent(location.hash.slice(1)));
  } catch { /* a fresh page has no address to read */ }
  $("name").value = held.name;
  for (const [label, text] of Object.entries(held.given)) for (const each of fields(label)) {
    if (each.type === "radio") each.checked = each.value === text; else each.value = text;
  }
  held.marked.forEach(mark);
  document.documentElement.dataset.ready = "yes";
})();
