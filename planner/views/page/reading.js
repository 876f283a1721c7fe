// @ts-check
/**
 * The edge of the page: a flight file (JSON syntax) read into SI and checked, every finding at once. A finding
 * of severity `notice` is shown and planning goes on; any other refuses the flight.
 *
 * @typedef {{value: number, u: number, dimension: string}} Quantity
 * @typedef {{where: (string|number)[], what: string, severity?: string}} Found
 */
"use strict";

/** @param {any} shared as the model carries it */
function makeReader(shared) {
  const K = shared.constants;
  const NUMBER = "[+-]?(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][+-]?\\d+)?";
  const QUANTITY = new RegExp(`^(${NUMBER})(?:\\s*(?:\\+/-|±)\\s*(${NUMBER}))?\\s*(\\S.*)?$`);
  const COMPOUND = new RegExp(`^(${NUMBER})\\s*h\\s*([0-9]+\\.?[0-9]*)\\s*min$`);
  const AMOUNT = ["volume", "mass"];

  /** `number unit` or `number +/- number unit` in SI; a string says what is wrong. @param {any} text @param {string[]} dimensions
   * @returns {Quantity|string} */
  function quantity(text, dimensions) {
    if (typeof text !== "string") return `${JSON.stringify(text)} is not 'number unit'`;
    const stripped = text.trim(), compound = dimensions.includes("time") && COMPOUND.exec(stripped);
    if (compound) return { value: Number(compound[1]) * 3600 + Number(compound[2]) * 60, u: 0, dimension: "time" };
    const match = QUANTITY.exec(stripped);
    if (!match) return `'${stripped}' is not 'number unit'`;
    const unit = Object.hasOwn(shared.units, (match[3] || "").trim()) ? shared.units[match[3].trim()] : null;
    if (!unit) return match[3] ? `the unit '${match[3].trim()}' is not known` : `'${stripped}' has no unit`;
    if (!dimensions.includes(unit[0])) return `'${stripped}' is a ${unit[0]}; needed a ${dimensions.join(" or ")}`;
    const value = unit[1] * Number(match[1]) + unit[2], u = unit[1] * Number(match[2] || 0);
    if (!isFinite(value) || !isFinite(u) || Math.abs(value) > 1e9) return `'${stripped}' is no figure of an aircraft`;
    if (u < 0) return `'${stripped}' has a negative uncertainty`;
    if (value < 0 && unit[0] !== "temperature" && unit[0] !== "length") return `'${stripped}' is below zero`;
    return { value, u, dimension: unit[0] };
  }

  const KEYS = ["flight", "title", "date", "aircraft", "record", "category", "rules", "load", "fuel", "trip", "alternate",
    "contingency", "final_reserve", "additional", "extra", "discretionary"];
  const BEYOND = { legs: "several legs", from: "a fuel ledger", ledger: "a fuel ledger", bottle: "a weighed sample", hydrometer: "a floated sample" };

  /** What is being found. @type {Found[]} */
  let findings = [];
  /** @param {(string|number)[]} where @param {string} what @param {string} severity */
  const say = (where, what, severity = "") => void findings.push({ where, what, severity });
  /** @param {any} text @param {(string|number)[]} where @param {string[]} dimensions @returns {any} */
  function figure(text, where, ...dimensions) {
    if (text === undefined || text === null) return null;
    const found = quantity(text, dimensions);
    if (typeof found !== "string") return found;
    say(where, found);
    return null;
  }
  /** @param {any} value */
  const isRecord = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
  /** @param {any} value @param {(string|number)[]} where */
  function record(value, where) {
    if (isRecord(value)) return value;
    say(where, `${where.join(", ") || "the file"} is not a record`);
    return {};
  }
  /** @param {any} value @param {(string|number)[]} where @param {string[]} known_ */
  function only(value, where, known_) {
    for (const key of Object.keys(value))
      if (Object.hasOwn(BEYOND, key)) say([...where, key], `${BEYOND[/** @type {keyof BEYOND} */ (key)]} is not on this page: plan it in the terminal`);
      else if (!known_.includes(key)) say([...where, key], `the key '${key}' is not known`);
  }

  // A load that moves is one string in one array: all that is the very same as at the last reading is not read again.
  /** @type {any} */
  let beside = { data: {} };
  /** @type {Map<string, {entry: any, masses: Quantity[]}>} */
  const stations = new Map();
  /** @param {any} data */
  function isAsBefore(data) {
    for (const key in data) if (key !== "load" && data[key] !== beside.data[key]) return false;
    return Object.keys(data).length === Object.keys(beside.data).length;
  }

  /** A flight file's data in SI, with what is wrong or to be said about it. @param {any} aircraft @param {any} data
   * @returns {{flight: any, findings: Found[]}} */
  function read(aircraft, data) {
    if (beside.aircraft !== aircraft) stations.clear();
    if (beside.aircraft !== aircraft || !isRecord(data) || !isAsBefore(data)) beside = readBeside(aircraft, data);
    findings = [];
    const load = readLoad(aircraft, isRecord(data) ? data : {});
    return { flight: { ...beside.flight, load }, findings: [...beside.heading, ...findings, ...beside.rest] };
  }

  /** A mass with the evidence for it: padded, and as unsure as such masses are. @param {any} aircraft @param {any} entry
   * @param {(string|number)[]} where @param {string} carried @returns {Quantity[]} */
  function settled(aircraft, entry, where, carried) {
    only(entry, where, ["how", "mass", "pad", "people", "who"]);
    const evidence = Object.hasOwn(shared.evidence, `${carried}/${entry.how}`) ? shared.evidence[`${carried}/${entry.how}`] : null;
    const standard = entry.how === "standard", who = entry.who === undefined ? "male" : entry.who, people = entry.people === undefined ? 1 : entry.people;
    const mass = standard ? { value: aircraft.standard_masses_kg[who], u: 0 } : figure(entry.mass, where, "mass"), pad = figure(entry.pad, [...where, "pad"], "mass");
    if (!evidence || (standard && (mass.value === undefined || entry.mass !== undefined))) say(where, "there is no such standard mass: needed a mass that is weighed, stated or guessed");
    else if (!mass) say(where, "the mass is missing");
    else if (!Number.isInteger(people) || people < 1 || people > 50 || (!standard && people !== 1)) say(where, "one mass cannot stand for several people");
    else return Array(people).fill({ value: mass.value + (pad ? pad.value : evidence[0]), u: mass.u || evidence[1], dimension: "mass" });
    return [];
  }
  /** The masses on one station. @param {any} aircraft @param {any} station @param {any} entry @returns {Quantity[]} */
  function massesOn(aircraft, { name, kind, seats }, entry) {
    /** @type {Quantity[]} */
    const masses = [], list = Array.isArray(entry) ? entry : [entry];
    for (let at = 0; at < list.length; at++) {
      const where = list === entry ? ["load", name, at] : ["load", name];
      if (isRecord(list[at])) masses.push(...settled(aircraft, list[at], where, kind === "seats" ? "person" : "bag"));
      else {
        const found = figure(list[at], where, "mass");
        if (found) masses.push(found);
      }
    }
    if (kind === "seats" && masses.length > seats) say(["load", name], `${masses.length} masses for ${seats} seats`);
    if (kind === "seats" && masses.length > 1)
      masses.forEach((mass, at) => mass.value > K.heaviest_person_kg && say(["load", name, at], "not plausible for one person"));
    return masses;
  }
  /** @param {any} aircraft @param {any} data */
  function readLoad(aircraft, data) {
    /** @type {{[station: string]: Quantity[]}} */
    const load = {};
    for (const [name, entry] of Object.entries(record(data.load === undefined ? {} : data.load, ["load"]))) {
      const known = stations.get(name), before = findings.length;
      if (known && known.entry === entry) {
        load[name] = known.masses;
        continue;
      }
      const station = aircraft.stations.find((/** @type {any} */ each) => each.name === name);
      if (!station) say(["load", name], `${aircraft.name} has no station '${name}'`);
      else load[name] = massesOn(aircraft, station, entry);
      if (findings.length === before) stations.set(name, { entry, masses: load[name] });
    }
    if (aircraft.pilot) {
      const [row, seat] = aircraft.pilot, masses = load[row] || [], held = masses.length === 1 ? masses[0] : masses[seat];
      if (!held || held.value < K.lightest_pilot_kg) say(["load", row], "nobody sits on the pilot's seat", "notice");
    }
    for (const name of Object.hasOwn(aircraft.forbids, data.category) ? aircraft.forbids[data.category] : [])
      if ((load[name] || []).some((mass) => mass.value)) say(["load", name], `the ${data.category} category allows no load on '${name}'`, "notice");
    return load;
  }

  /** All but the load, with what is found in the heading and in the rest. @param {any} aircraft @param {any} data */
  function readBeside(aircraft, data) {
    findings = [];
    data = record(data, []);
    only(data, [], KEYS);
    if (data.flight !== 1) say(["flight"], "this is not a flight file ('flight: 1' is missing)");
    if (!Object.hasOwn(aircraft.categories, data.category)) say(["category"], `${aircraft.name} has no category '${data.category}'`);
    const rule = Object.hasOwn(shared.rules, data.rules) ? shared.rules[data.rules] : null;
    if (!rule) say(["rules"], `'${data.rules}' is not a rule set`);
    else if (!aircraft.flows[rule.basis]) say(["rules"], `the profile has no '${rule.basis}' flow, at which this rule counts its reserve`);
    const heading = findings;
    findings = [];
    const fuel = record(data.fuel, ["fuel"]), spec = record(fuel.density, ["fuel", "density"]);
    only(fuel, ["fuel"], ["grade", "temperature", "density", "tanks"]);
    only(spec, ["fuel", "density"], ["standard", "at_15C", "fixed", "measured", "at", "certificate"]);
    if (!aircraft.grades.includes(fuel.grade)) say(["fuel", "grade"], `${aircraft.name} may not use ${fuel.grade}`);
    const temperature = figure(fuel.temperature, ["fuel", "temperature"], "temperature");
    if (temperature && !(temperature.value >= -50 && temperature.value <= 60)) say(["fuel", "temperature"], "this fuel temperature is not plausible");
    const ways = ["standard", "at_15C", "fixed", "measured"].filter((way) => spec[way] !== undefined);
    if (ways.length !== 1) say(["fuel", "density"], "needed exactly one of standard, at_15C, fixed, measured");
    const way = ways[0] || "standard";
    const value = way === "standard" ? null : figure(spec[way], ["fuel", "density", way], "density");
    if (way === "standard" && spec.standard !== undefined && spec.standard !== true) say(["fuel", "density", "standard"], "needed true");
    const at = figure(spec.at, ["fuel", "density", "at"], "temperature");
    if ((way === "measured") !== (spec.at !== undefined)) say(["fuel", "density", "at"], "'measured' and 'at' belong together");
    if (way !== "fixed" && fuel.temperature === undefined) say(["fuel", "temperature"], "the fuel's temperature is missing");
    /** @type {{[tank: string]: any}} */
    const tanks = {};
    const given = record(fuel.tanks, ["fuel", "tanks"]);
    only(given, ["fuel", "tanks"], aircraft.tanks.map((/** @type {any} */ tank) => tank.name));
    for (const tank of aircraft.tanks) {
      const where = ["fuel", "tanks", tank.name], content = given[tank.name];
      if (content === undefined) {
        say(where, `tank '${tank.name}' is not mentioned`);
        continue;
      }
      const mark = typeof content === "string" && /^[^\W\d][^\d]*$/u.test(content.trim()) ? content.trim() : isRecord(content) ? content.mark : undefined;
      if (mark !== undefined) {
        const level = mark === "full" ? [tank.capacity_m3 - tank.unusable_m3, 0] : mark === "empty" ? [0, 0] : Object.hasOwn(tank.marks, mark) ? tank.marks[mark] : null;
        if (level) tanks[tank.name] = { usable: { value: level[0], u: level[1], dimension: "volume" } };
        else say(where, `tank '${tank.name}' has no mark '${mark}'`);
        continue;
      }
      const held = isRecord(content) ? content : { usable: content };
      only(held, where, ["usable", "total", "dipstick", "mark"]);
      if (["usable", "total", "dipstick"].filter((key) => held[key] !== undefined).length !== 1) say(where, "a tank needs exactly one figure");
      const found = { usable: figure(held.usable, where, ...AMOUNT), total: figure(held.total, where, "volume"), dipstick: figure(held.dipstick, where, "length") };
      if (found.usable || found.total || found.dipstick) tanks[tank.name] = found;
    }

    /** @param {any} entry @param {(string|number)[]} where */
    const phase = (entry, where) => {
      const raw = record(entry, where);
      only(raw, where, ["phase", "time", "fuel", "flow", "tank"]);
      const named = raw.tank === undefined ? [] : Array.isArray(raw.tank) ? raw.tank : [raw.tank];
      const found = {
        phase: String(raw.phase), tank: named, time: figure(raw.time, [...where, "time"], "time"),
        fuel: figure(raw.fuel, [...where, "fuel"], ...AMOUNT), flow: figure(raw.flow, [...where, "flow"], "volume flow", "mass flow"),
      };
      for (const name of named)
        if (!aircraft.tanks.some((/** @type {any} */ tank) => tank.name === name)) say([...where, "tank"], `${aircraft.name} has no tank '${name}'`);
      if (raw.time === undefined && raw.fuel === undefined) say(where, `phase '${found.phase}' has neither a time nor an amount of fuel`);
      if (raw.fuel === undefined && raw.flow === undefined && !Object.hasOwn(aircraft.flows, found.phase)) say([...where, "phase"], `the profile has no flow for '${found.phase}'`);
      const nothing = (found.fuel && !found.fuel.value) || (found.flow && !found.flow.value);
      if (nothing && found.time && found.time.value) say(where, `'${found.phase}' burns nothing`);
      else if (nothing && found.phase !== "taxi") say(where, `'${found.phase}' burns nothing`, "notice");
      return found;
    };
    const trip = Array.isArray(data.trip) ? data.trip.map((/** @type {any} */ entry, /** @type {number} */ index) => phase(entry, ["trip", index])) : [];
    if (!Array.isArray(data.trip)) say(["trip"], "the trip is missing");
    const air = trip.map((/** @type {any} */ each) => each.phase !== "taxi"), first = air.indexOf(true), last = air.lastIndexOf(true);
    if (first < 0) say(["trip"], "the trip needs a phase in the air");
    air.forEach((/** @type {boolean} */ up, /** @type {number} */ index) => !up && first < index && index < last && say(["trip", index], "taxi between two phases of flight"));
    const flight = {
      category: data.category, rules: data.rules, trip,
      fuel: { grade: fuel.grade, temperature, density: { way, value, at }, tanks },
      alternate: data.alternate === undefined || data.alternate === null ? null : phase(data.alternate, ["alternate"]),
      contingency: figure(data.contingency, ["contingency"], "volume", "mass", "time", "ratio"),
      final_reserve: figure(data.final_reserve, ["final_reserve"], "time"),
      additional: figure(data.additional, ["additional"], ...AMOUNT), extra: figure(data.extra, ["extra"], ...AMOUNT),
      discretionary: figure(data.discretionary, ["discretionary"], ...AMOUNT),
    };
    if (rule && flight.final_reserve && flight.final_reserve.value < rule.final_reserve_s) say(["final_reserve"], `below the ${rule.final_reserve_s / 60} min of the rule`);
    if (rule && rule.alternate_required && !flight.alternate) say(["alternate"], "the rule counts an alternate and the flight names none, unless its weather exception applies", "notice");
    if (flight.contingency && flight.contingency.dimension === "ratio" && flight.contingency.value > 1) say(["contingency"], "more than the trip itself");
    if (flight.contingency && flight.contingency.dimension === "time" && !aircraft.flows.cruise) say(["contingency"], "contingency as a time needs a cruise flow");
    return { aircraft, data, flight, heading, rest: findings };
  }

  /** What a planned flight has to be told beside its verdict. @param {any} aircraft @param {any} flight @param {any} plan @returns {Found[]} */
  function notices(aircraft, flight, plan) {
    /** @type {Found[]} */
    const found = [];
    const { way } = flight.fuel.density, grade = shared.grades[flight.fuel.grade], [low, high] = grade.band_kg_per_m3;
    const at15 = plan.density.at15 === null ? plan.density.density : plan.density.at15, where = ["fuel", "density"];
    if (way !== "standard" && ((grade.kind === "avgas" && at15 > K.avgas_hard_high_kg_per_m3) || (grade.kind === "jet" && at15 < K.jet_hard_low_kg_per_m3)))
      found.push({ where, what: `this density contradicts ${grade.name}: do not fly; ask the supplier what is in the tanks` });
    else if (way !== "standard" && !(low <= at15 && at15 <= high)) found.push({ where, what: `this density is outside the usual band of ${grade.name}`, severity: "notice" });
    if (way === "fixed" && !plan.density.u) found.push({ where, what: "the fixed density counts as exact: write what is known of it behind '+/-'", severity: "notice" });
    for (const { tank } of plan.vents) found.push({ where: ["fuel", "tanks", tank.name], what: `the ${tank.name} tank is so full that fuel may vent overboard when it warms in the sun`, severity: "notice" });
    const takeoff = plan.states[1].total.mass;
    if (aircraft.landing_kg !== null && takeoff - aircraft.landing_kg > K.noise * takeoff)
      found.push({ where: [], what: "an immediate return would land above the maximum landing mass", severity: "notice" });
    return found;
  }

  return { read, notices, quantity };
}
