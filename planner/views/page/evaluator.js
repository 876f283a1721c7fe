// @ts-check
/**
 * The engine of the page: from a compiled aircraft and a flight in SI to states, burn, fuel plan, U and verdict.
 * It knows no aircraft and no limit of its own: all come from the model. Every step follows the engine of the
 * program (flight/*.py, plan/*.py), and tests/browser holds each figure to it.
 *
 * Units: kg, m, m3, s, kg.m, kg/m3, degC. `u` is a standard uncertainty, `U` an expanded one.
 *
 * @typedef {{value: number, u: number, cause: string, byMass: boolean}} Given
 * @typedef {{at: number, mass: number, moment: number, lateral: number, side: number}} Effect  `at` numbers its cause
 * @typedef {{mass: number, moment: number, lateral: number}} Total
 * @typedef {{low: number, high: number, p: number, q: number, r: number}} Piece
 * @typedef {{kind: string, name: string, volume: number, time: number|null, changes: Changes}} Line
 * @typedef {{id: string, place: string, group: string, name: string, variant: string, dimension: string, value: number,
 *   limit: number, margin: number, U: number, verdict: string,
 *   doubt: null|{margin: number, U: number, fuel: number}}} Checked
 */
"use strict";

/** @param {any} shared constants, petroleum tables, grades, rules, units */
function makeEvaluator(shared) {
  const K = shared.constants;
  const ORDER = ["inside", "not shown inside", "outside"];
  const STATES = ["ramp", "takeoff", "landing", "zero fuel"];
  const [AT, LESS, MORE, BOTH] = [0, 1, 2, -1];
  const ALL_SEATS = -1;

  const numbers = makeNumbers(shared);
  const { Refused, refuse, sum, hypot, over, erf, interpolate, densityOf, growth } = numbers;
  const tanksOf = makeTanks(shared, numbers);
  const { combined, NOTHING, volumeMoment, marginalArm, breaks, armEffects, filled, endOf, endChanges, burnDown, offCourse } = tanksOf;
  const { stretches, flownWith, spansOf, leastMargin, crossings, massCrossing, doubtfulPoint } = makeBurn(shared, numbers, tanksOf);

  // ---- verdicts

  /** @param {number} margin @param {number} U */
  const verdictOf = (margin, U) => (margin < 0 ? "outside" : margin > U || U === 0 ? "inside" : "not shown inside");
  /** @param {string[]} verdicts */
  const worst = (verdicts) => ORDER[Math.max(0, ...verdicts.map((each) => ORDER.indexOf(each)))];

  // Causes have numbers, and what each does to a figure stands at its number in an array that is used again:
  // a finger that moves a load waits for neither maps of names nor the memory of new ones.
  const DENSITY = 0;
  /** @type {Map<string, number>} */
  let causes = new Map();
  /** @type {Float64Array[]} */
  let room = [];
  /** @param {string} cause */
  function numberOf(cause) {
    let at = causes.get(cause);
    if (at === undefined) causes.set(cause, (at = causes.size));
    if (!room.length || causes.size > room[0].length) room = Array.from({ length: 5 }, () => new Float64Array(2 * causes.size + 62));
    return at;
  }
  /** The root of the sum of squares over every cause. @param {Float64Array} changes */
  function norm(changes) {
    let squares = 0;
    for (let at = 0; at < causes.size; at++) squares += changes[at] * changes[at];
    return Math.sqrt(squares);
  }

  /** Signed change of a figure for one u of every cause, in the room of that number. @param {number} where
   * @param {Effect[]} effects @param {number} mass @param {number} moment @param {number} lateral the gradient */
  function contributions(where, effects, mass, moment = 0, lateral = 0) {
    const into = room[where], count = causes.size;
    let sided = false;
    into.fill(0, 0, count);
    for (const each of effects) {
      const change = mass * each.mass + moment * each.moment + lateral * each.lateral;
      if (each.side === BOTH) into[each.at] += change;
      else {
        if (!sided) for (const side of [AT, LESS, MORE]) room[2 + side].fill(0, 0, count);
        sided = true;
        room[2 + each.side][each.at] += change;
      }
    }
    if (sided)
      for (let at = 0; at < count; at++) {
        let first = into[at] + room[2][at];
        for (const other of [into[at] + room[3][at], into[at] + room[4][at]]) if (Math.abs(other) > Math.abs(first)) first = other;
        into[at] = first;
      }
    return into;
  }

  /** @param {any} limit @param {number} value @param {number} bound @param {number} margin @param {number} U @returns {Checked} */
  const shown = (limit, value, bound, margin, U) => ({
    id: limit.id, place: limit.place, group: limit.group, name: limit.name, variant: "", dimension: limit.dimension,
    value, limit: bound, margin, U, verdict: verdictOf(margin, U), doubt: null,
  });

  /** A figure against a number. @param {any} limit @param {number} value @param {Float64Array} found what changes it */
  function result(limit, value, found) {
    const bound = limit.bound;
    let margin = limit.upper ? bound - value : value - bound;
    if (Math.abs(margin) <= K.noise * Math.max(Math.abs(bound), Math.abs(value))) margin = 0;
    return shown(limit, value, bound, margin, K.coverage * norm(found));
  }

  /** A state against a limit on its mass or its CG. @param {any} limit @param {Total} total @param {Effect[]} effects */
  function judge(limit, total, effects, along = false) {
    if (limit.quantity === "cg") return edgeLimit(limit, total, effects, along);
    if (limit.quantity === "lateral") {
      const cg = total.lateral / total.mass;
      return result(limit, cg, contributions(0, effects, -cg / total.mass, 0, 1 / total.mass));
    }
    const found = contributions(0, effects, 1), heavier = limit.upper ? found[DENSITY] : 0;
    if (heavier <= 0) return result(limit, total.mass, found);
    found[DENSITY] = 0;
    return result(limit, total.mass + K.coverage * heavier, found);
  }

  /** @param {Piece} piece @param {number} m */
  const armOf = (piece, m) => piece.p / m + piece.q + piece.r * m;
  /** @param {Piece} piece @param {number} m */
  const slopeOf = (piece, m) => -piece.p / m ** 2 + piece.r;
  /** @param {Piece[]} pieces @param {number} m */
  function pieceAt(pieces, m) {
    let at = 0;
    while (at + 1 < pieces.length && pieces[at + 1].low <= m) at++;
    return pieces[at];
  }

  /** The CG against one edge of the envelope. @param {any} limit @param {Total} total @param {Effect[]} effects @param {boolean} along */
  function edgeLimit(limit, total, effects, along) {
    const mass = total.mass, cg = total.moment / mass, sign = limit.upper ? 1 : -1, pieces = limit.pieces;
    const own = pieceAt(pieces, mass), ownArm = armOf(own, mass), ownSlope = slopeOf(own, mass);
    let margin = sign * (ownArm - cg);
    const masses = contributions(0, effects, 1), uMass = norm(masses), reach = K.coverage * uMass + 1e-9 * mass;
    let U = 0;
    for (const piece of pieces) {
      if (piece.high < mass - reach || piece.low > mass + reach) continue;
      const changes = contributions(1, effects, sign * (cg / mass + slopeOf(piece, mass)), -sign / mass);
      let low = piece.low - mass, high = piece.high - mass;
      if (along && low <= 1e-9 * mass && high >= -1e-9 * mass) [low, high] = [-Infinity, Infinity];
      const lost = loss(masses, changes, low, high) - (sign * (armOf(piece, mass) - cg) - margin);
      U = Math.max(U, lost);
    }
    if (uMass && pieces.some((/** @type {Piece} */ each, /** @type {number} */ at) => at > 0 && Math.abs(each.low - mass) < K.farthest * uMass))
      U = Math.max(U, K.coverage * spread(pieces, mass, masses, contributions(1, effects, -(cg / mass + ownSlope), 1 / mass), ownArm, ownSlope));
    if (Math.abs(margin) <= K.noise * Math.max(Math.abs(ownArm), Math.abs(cg))) margin = 0;
    return shown(limit, cg, ownArm, margin, U);
  }

  /** Variance of the mass, covariance with a figure, variance of the figure. @param {Float64Array} masses @param {Float64Array} changes */
  function moments(masses, changes) {
    let variance = 0, shared_ = 0, squares = 0;
    for (let at = 0; at < causes.size; at++) {
      variance += masses[at] * masses[at];
      shared_ += changes[at] * masses[at];
      squares += changes[at] * changes[at];
    }
    return [variance, shared_, squares];
  }

  /** The most a margin may lose where the mass stays `low` to `high` off. @param {Float64Array} masses @param {Float64Array} changes
   * @param {number} low @param {number} high */
  function loss(masses, changes, low, high) {
    const [variance, shared_, squares] = moments(masses, changes), own = Math.sqrt(squares);
    const atWorst = over(-K.coverage * shared_, own), off = Math.min(Math.max(atWorst, low), high);
    if (off === atWorst || !(variance > 0) || !(own > 0)) return K.coverage * own;
    const across = Math.max(squares - over(shared_ * shared_, variance), 0);
    return Math.sqrt(Math.max(K.coverage ** 2 - over(off * off, variance), 0) * across) - over(shared_ * off, variance);
  }

  /** Standard deviation of the margin where the edge bends within the spread of the mass. @param {Piece[]} pieces
   * @param {number} mass @param {Float64Array} masses @param {Float64Array} changes @param {number} ownArm @param {number} ownSlope */
  function spread(pieces, mass, masses, changes, ownArm, ownSlope) {
    let [variance, shared_, squares] = moments(masses, changes);
    if (!(variance > 0)) return 0;
    shared_ = over(shared_, variance);
    const u = Math.sqrt(variance);
    let first = 0, second = 0;
    for (const piece of pieces) {
      const bend = shared_ + ownSlope - slopeOf(piece, mass), level = ownArm - armOf(piece, mass);
      const low = (piece.low - mass) / u, high = (piece.high - mass) / u;
      const [atLow, atHigh] = [low, high].map((end) => Math.exp((-end * end) / 2) / Math.sqrt(2 * Math.PI));
      const weight = (erf(high / Math.SQRT2) - erf(low / Math.SQRT2)) / 2, mean = atLow - atHigh;
      const square = weight + (isFinite(low) ? low : 0) * atLow - (isFinite(high) ? high : 0) * atHigh;
      first += level * weight + bend * u * mean;
      second += level * level * weight + 2 * level * bend * u * mean + bend * bend * variance * square;
    }
    return Math.sqrt(Math.max(second - first * first, 0) + Math.max(squares - shared_ * shared_ * variance, 0));
  }

  // ---- the model of one flight

  /** @param {string} cause @param {number} mass @param {number} moment @param {number} lateral @param {number} side @returns {Effect} */
  const effect = (cause, mass, moment, lateral = 0, side = BOTH) => ({ at: numberOf(cause), mass, moment, lateral, side });

  /** The empty aircraft with its unusable fuel of that density. @param {any} empty @param {{density: number, u: number}} density */
  function emptyWith(empty, { density: rho, u: uRho }) {
    /** @type {Effect[]} */
    const effects = empty.effects.map((/** @type {any[]} */ [cause, ...fixed], /** @type {number} */ at) => {
      const [mass, moment, lateral] = fixed.map((each, of) => each + rho * empty.effects_by_density[at][of]);
      return effect(cause, mass, moment, lateral);
    });
    if (uRho) for (const [cause, mass, moment, lateral] of empty.effects_by_u) effects.push(effect(cause, uRho * mass, uRho * moment, uRho * lateral));
    /** @type {number[][]} */
    const items = empty.items.map((/** @type {any[]} */ [, mass, each, arm, lateral]) => [mass + rho * each, arm, lateral]);
    return { items, effects };
  }

  /** Everything aboard but usable fuel: a station whose masses are the very same as before is not asked again.
   * @param {any} aircraft @param {any} flight @param {any} held of that fuel */
  function loaded(aircraft, flight, { empty, placed }) {
    const effects = [...empty.effects], items = [...empty.items], stations = new Map();
    for (const [name, masses] of Object.entries(flight.load)) {
      let on = placed.get(name);
      if (!on || on.masses !== masses) placed.set(name, (on = standing(aircraft, name, masses)));
      effects.push(...on.effects);
      items.push(...on.items);
      stations.set(name, on.rows);
    }
    return { effects, stations, zeroFuel: { mass: sum(items.map((each) => each[0])), moment: sum(items.map((each) => each[0] * each[1])), lateral: sum(items.map((each) => each[0] * each[2])) } };
  }
  /** What stands on one station. @param {any} aircraft @param {string} name @param {Figure[]} masses */
  function standing(aircraft, name, masses) {
    const place = aircraft.stations.find((/** @type {any} */ each) => each.name === name), count = masses.length;
    /** @type {Effect[]} */
    const effects = [], items = /** @type {number[][]} */ ([]);
    let total = 0;
    const rows = masses.map(({ value: mass, u }, seat) => {
      const label = count === 1 ? name : `${name} ${seat + 1}`;
      let [lateral, uLateral] = place.across[0] || [0, 0];
      if (place.by_seat && (count > 1 || place.across.length === 1)) [lateral, uLateral] = place.across[seat];
      else if (place.by_seat) {
        const n = place.across.length;
        lateral = place.across.reduce((/** @type {number} */ a, /** @type {number[]} */ each) => a + each[0], 0) / n;
        uLateral = hypot(place.across.map((/** @type {number[]} */ each) => each[1])) / n;
      }
      items.push([mass, place.arm_m, lateral]);
      if (u) effects.push(effect(label, u, u * place.arm_m, u * lateral));
      if (uLateral && mass) effects.push(effect(`${place.by_seat ? label : name} lateral arm`, 0, 0, mass * uLateral));
      total += mass;
      return /** @type {[string, number, number]} */ ([label, mass, u]);
    });
    if (place.arm_u_m && total) effects.push(effect(`${name} arm`, 0, total * place.arm_u_m));
    return { masses, rows, items, effects };
  }

  /** What usable fuel weighs and turns. @param {any} held @param {number[]} volumes @returns {Total} */
  function fuelTotal({ density: { density: rho }, tanks }, volumes) {
    return {
      mass: rho * sum(volumes),
      moment: rho * sum(volumes.map((v, i) => volumeMoment(tanks[i].tank, v))),
      lateral: rho * sum(volumes.map((v, i) => tanks[i].tank.lateral_arm_m * v)),
    };
  }

  /** Effects of what is unsure about usable fuel of these volumes. @param {any} held @param {number[]} volumes
   * @param {Changes[]} changes @param {Off|null} off @returns {Effect[]} */
  function fuelEffects(held, volumes, changes, off = null) {
    const { density: rho, u: uRho } = held.density;
    /** @type {Effect[]} */
    const found = [];
    if (uRho && sum(volumes) > K.empty_m3) {
      const { mass, moment, lateral } = fuelTotal(held, volumes), share = uRho / rho;
      found.push(effect(K.fuel_density, share * mass, share * moment, share * lateral));
    }
    held.tanks.forEach((/** @type {any} */ { tank }, /** @type {number} */ index) => {
      const volume = volumes[index], unsure = changes[index] || NOTHING;
      const causes = new Set([...unsure.keys(), ...(off ? off.keys() : [])]), arm = causes.size ? marginalArm(tank, volume) : 0;
      for (const cause of causes) {
        const change = unsure.get(cause) || 0, turn = off && off.get(cause);
        const less = turn ? (volume - turn.less[index]) / K.far : change, more = turn ? (turn.more[index] - volume) / K.far : change;
        const reach = K.far * Math.max(Math.abs(change), Math.abs(less), Math.abs(more));
        const bent = Math.max(Math.abs(less - change), Math.abs(more - change)) > 1e-6 * reach || breaks(tank).some((cut) => Math.abs(volume - cut) < reach);
        if (!bent) {
          const mass = rho * change;
          if (change) found.push(effect(cause, mass, mass * arm, mass * tank.lateral_arm_m));
          continue;
        }
        const here = volumeMoment(tank, volume);
        const lower = volumeMoment(tank, Math.max(volume - K.far * less, 0)), upper = volumeMoment(tank, Math.max(volume + K.far * more, 0));
        for (const [side, step, moment] of [[AT, change, change * arm], [LESS, less, (here - lower) / K.far], [MORE, more, (upper - here) / K.far]])
          found.push(effect(cause, rho * step, rho * moment, rho * step * tank.lateral_arm_m, side));
      }
      if (volume) {
        for (const [cause, change] of armEffects(tank, volume)) found.push(effect(cause, 0, rho * change));
        if (tank.lateral_u_m) found.push(effect(`${tank.name} tank lateral arm`, 0, 0, rho * volume * tank.lateral_u_m));
      }
    });
    if (found.some((each) => each.side !== BOTH)) held.sided = true;
    return found;
  }

  // ---- the fuel plan

  /** @param {Given} given @param {number} density @returns {Given} */
  const atDensity = (given, density) => (given.byMass ? { ...given, value: given.value * (1 / density), u: given.u * (1 / density), byMass: false } : given);
  /** @param {Given} given @returns {Changes} */
  const changesOf = (given, by = 1) => (given.u && by ? new Map([[given.cause, by * given.u]]) : NOTHING);
  /** @param {any} figure @param {string} cause @returns {Given} */
  const given = (figure, cause) => ({ value: figure.value, u: figure.u, cause, byMass: figure.dimension === "mass" || figure.dimension === "mass flow" });
  /** @param {string} kind @param {string} name @param {Given} time @param {Given} flow @returns {Line} */
  const timed = (kind, name, time, flow) => ({ kind, name, volume: time.value * flow.value, time: time.value, changes: combined(changesOf(flow, time.value), changesOf(time, flow.value)) });

  /** What the flight asks of its fuel, as needs in the order flown. @param {any} aircraft @param {any} flight */
  function needsOf(aircraft, flight) {
    /** @type {{[phase: string]: Given}} */
    const flows = {};
    for (const [phase, [value, u, byMass]] of Object.entries(aircraft.flows)) flows[phase] = { value, u, byMass, cause: `${phase} flow` };
    /** @param {any} phase @param {string} kind @param {string} name @param {string} number @param {string} stage */
    const need = (phase, kind, name, number = "", stage = "trip") => ({
      kind, name, stage, phase: phase.phase, tanks: phase.tank || [],
      amount: phase.fuel ? given(phase.fuel, `${name}${number} as stated`) : null,
      time: phase.time ? given(phase.time, `${name}${number} time`) : null,
      flow: phase.flow ? given(phase.flow, `${name}${number} flow`) : flows[phase.phase] || { value: 0, u: 0, cause: "", byMass: false },
    });
    const trip = flight.trip, air = trip.map((/** @type {any} */ each) => each.phase !== "taxi"), first = air.indexOf(true), last = air.lastIndexOf(true);
    const needs = trip.map((/** @type {any} */ phase, /** @type {number} */ index) => {
      const number = trip.filter((/** @type {any} */ each) => each.phase === phase.phase).length > 1 ? ` (${index + 1})` : "";
      if (index < first) return need(phase, "taxi", "taxi", number, "taxi");
      return index <= last ? need(phase, "trip", `trip: ${phase.phase}`, number) : need(phase, "taxi", "taxi after landing", number, "taxi in");
    });
    if (flight.alternate) needs.push(need(flight.alternate, "alternate", "alternate", "", "alternate"));
    const further = ["additional", "extra", "discretionary"].filter((kind) => flight[kind])
      .map((kind) => need({ phase: "cruise", fuel: flight[kind] }, kind, kind));
    return { flows, needs, further };
  }

  /** @param {any} need @param {number} density @returns {Line} */
  function lineFor(need, density) {
    const flow = atDensity(need.flow, density), { kind, name, time } = need;
    if (!need.amount) return timed(kind, name, time, flow);
    const amount = atDensity(need.amount, density);
    return { kind, name, volume: amount.value, changes: changesOf(amount), time: time ? time.value : flow.value ? amount.value / flow.value : null };
  }
  /** @param {any} need */
  const needsMass = (need) => (need.amount || need.flow).byMass;

  /** Every line of the fuel plan, surplus with U, and the burn. @param {any} tanks as filled @param {any} density
   * @param {any} aircraft @param {any} flight */
  function planFuel(tanks, density, aircraft, flight) {
    const rule = shared.rules[flight.rules], rho = density.density, uRho = density.u;
    const { flows: own, needs, further } = needsOf(aircraft, flight);
    const light = uRho ? Math.max(rho - K.coverage * uRho, 1) : rho;
    /** @param {any[]} list @param {number} at @returns {[any, Line][]} */
    const linesOf = (list, at) => list.map((need) => [need, lineFor(need, at)]);
    /** @type {{[phase: string]: Given}} */
    const flows = {};
    for (const phase of Object.keys(own)) flows[phase] = atDensity(own[phase], light);
    const flown = linesOf(needs, light), extra = linesOf(further, light);
    /** @param {...string} stages */
    const of = (...stages) => flown.filter(([need]) => stages.includes(need.stage)).map(([, line]) => line);
    const longer = flight.final_reserve && flight.final_reserve.value > rule.final_reserve_s;
    const minutes = longer ? given(flight.final_reserve, "final reserve time") : { value: rule.final_reserve_s, u: 0, cause: "final reserve", byMass: false };
    const reserve = timed("final reserve", "final reserve", minutes, flows[rule.basis]);
    const byMass = [...flown, ...extra].filter(([need]) => needsMass(need)).map(([, line]) => line.volume);
    if (own[rule.basis].byMass) byMass.push(reserve.volume);
    const lines = of("taxi", "trip"), asked = flight.contingency;
    if (asked) {
      const raw = given(asked, "contingency"), share = atDensity(raw, light), cruise = flows.cruise || { value: 0, u: 0, cause: "cruise flow", byMass: false };
      /** @type {Line} */
      let line;
      if (asked.dimension === "ratio") {
        const trip = of("trip"), volume = trip.reduce((all, each) => all + each.volume, 0);
        let changes = changesOf(share, volume);
        for (const each of trip) changes = combined(changes, each.changes, share.value);
        line = { kind: "contingency", name: "contingency", volume: share.value * volume, changes, time: null };
        byMass.push(share.value * sum(flown.filter(([need]) => need.stage === "trip" && needsMass(need)).map(([, each]) => each.volume)));
      } else if (asked.dimension === "time") {
        line = timed("contingency", "contingency", share, cruise);
        byMass.push(own.cruise && own.cruise.byMass ? line.volume : 0);
      } else {
        line = { kind: "contingency", name: "contingency", volume: share.value, changes: changesOf(share), time: null };
        byMass.push(raw.byMass ? line.volume : 0);
      }
      line.time = cruise.value ? line.volume / cruise.value : null;
      lines.push(line);
    }
    lines.push(...of("alternate"), reserve, ...of("taxi in"), ...extra.map(([, line]) => line));
    const names = tanks.map((/** @type {any} */ each) => each.tank.name), volumes = tanks.map((/** @type {any} */ each) => each.volume);
    const changes = tanks.map((/** @type {any} */ each) => each.changes), aboard = sum(volumes);
    /** @param {[any, Line][]} pairs @param {number} at @param {number} u @returns {Leg[]} */
    const legsOf = (pairs, at, u) => pairs.filter(([need]) => need.stage !== "taxi in").map(([need, line]) => ({
      phase: need.phase, stage: need.stage, volume: line.volume, flow: line.time ? line.volume / line.time : 0, tanks: need.tanks,
      changes: u && needsMass(need) ? combined(line.changes, new Map([[K.fuel_density, (-line.volume / at) * u]])) : line.changes,
    }));
    const legs = legsOf(uRho ? linesOf(needs, rho) : flown, rho, uRho);
    const rest = { phase: rule.basis, stage: "reserve", volume: aboard, flow: atDensity(own[rule.basis], rho).value, tanks: [], changes: NOTHING };
    let { draws, shortages } = burnDown(names, volumes, aircraft.order, [...legs, rest], changes);
    const flying = draws.filter((draw) => (draw.stage === "taxi" || draw.stage === "trip") && [...draw.changes, ...draw.drawn].some((each) => each.size));
    const bends = flying.some((draw) => {
      const ends = endOf(draw), unsure = endChanges(draw);
      return draw.start.some((before, i) => before > K.empty_m3 && ends[i] <= Math.max(K.empty_m3, K.far * hypot(unsure[i].values())));
    });
    const off = bends ? offCourse(names, volumes, aircraft.order, legs.filter((leg) => leg.stage === "taxi" || leg.stage === "trip"), changes) : {};
    let counted = draws;
    if (uRho) ({ draws: counted, shortages } = burnDown(names, volumes, aircraft.order, [...legsOf(flown, light, 0), { ...rest, flow: flows[rule.basis].value }], null));
    const required = sum(lines.map((line) => line.volume)), massed = sum(byMass);
    const surplus = Math.abs(aboard - required) < K.empty_m3 ? 0 : aboard - required;
    /** @type {Changes} */
    let unsure = NOTHING;
    for (const each of changes) unsure = combined(unsure, each);
    for (const line of lines) unsure = combined(unsure, line.changes, -1);
    const beyond = Math.max(sum(tanks.filter((/** @type {any} */ each) => each.byMass).map((/** @type {any} */ each) => each.volume)) - massed, 0);
    const U = K.coverage * hypot([...[...unsure].filter(([cause]) => cause !== K.fuel_density).map((each) => each[1]), (beyond * uRho) / rho]);
    return {
      draws, off, shortages, lines, aboard, required, surplus, U, verdict: verdictOf(surplus, U),
      aboardMass: aboard * rho, endurance: sum(counted.filter((draw) => draw.stage !== "taxi").map((draw) => (draw.flow ? draw.volume / draw.flow : 0))),
    };
  }

  // ---- the whole flight

  /** @type {Map<any, any[]>} */
  const ready = new Map();
  /** The limits of an aircraft ready to be asked, made once. @param {any} aircraft @param {string} category @returns {any[]} */
  function limitsOf(aircraft, category) {
    const rows = aircraft.categories[category], made = ready.get(rows);
    if (made) return made;
    const limits = rows.map((/** @type {any[]} */ [sort, place, bound]) => {
      const each = aircraft.limits[sort], pieces = each.edge ? aircraft.edges[bound] : [[0, null, 0, bound, 0]];
      return {
        upper: true, seats: [], tanks: [], forbids: false, always: false, ...each, place, bound,
        pieces: pieces.map((/** @type {any[]} */ [low, high, p, q, r]) => ({ low, high: high === null ? Infinity : high, p, q, r })),
      };
    });
    ready.set(rows, limits);
    return limits;
  }

  /** What is known of a flight whatever its load, by its fuel: the reader gives another one where anything else
   * has changed. @type {WeakMap<any, any>} */
  const known = new WeakMap();
  /** @param {any} aircraft @param {any} flight */
  function unloaded(aircraft, flight) {
    const made = known.get(flight.fuel);
    if (made) {
      causes = made.causes;
      return made;
    }
    causes = new Map();
    numberOf(K.fuel_density);
    const density = densityOf(flight.fuel);
    const tanks = aircraft.tanks.map((/** @type {any} */ tank) => filled(tank, flight.fuel.tanks[tank.name], density));
    const fuel = planFuel(tanks, density, aircraft, flight), limits = limitsOf(aircraft, flight.category), { draws } = fuel;
    for (const each of fuel.shortages)
      if (each.named.length) refuse(each.stage === "alternate" ? ["alternate"] : ["trip", each.leg], `'${each.phase}' needs more than ${each.named.join(" and ")} holds when it begins`);
    const full = { volumes: tanks.map((/** @type {any} */ each) => each.volume), changes: tanks.map((/** @type {any} */ each) => each.changes) };
    /** @param {string} stage @param {{volumes: number[], changes: Changes[]}} start */
    const after = (stage, start) => {
      const last = draws.filter((draw) => draw.stage === stage).pop();
      return last ? { volumes: endOf(last), changes: endChanges(last) } : start;
    };
    const takeoff = after("taxi", full), landing = after("trip", takeoff);
    const vents = density.at15 === null ? [] : tanks.filter((/** @type {any} */ { tank, volume }) => volume && (volume + tank.unusable_m3) * (1 + growth(density)) > tank.capacity_m3);
    const taxi = sum(draws.filter((draw) => draw.stage === "taxi").map((draw) => (draw.flow ? draw.volume / draw.flow : 0)));
    /** @type {any} */
    const held = { causes, density, tanks, fuel, vents, limits, empty: emptyWith(aircraft.empty, density), placed: new Map(), sided: false, corners: [full, ...draws.map((draw) => ({ volumes: endOf(draw), changes: endChanges(draw) }))] };
    held.way = stretches(tanks.map((/** @type {any} */ each) => each.tank), density.density, draws, taxi);
    held.unsure = density.u || tanks.some((/** @type {any} */ { tank, changes }) => changes.size || tank.arm_us.length || tank.unusable_u_m3 || tank.lateral_u_m)
      || held.way.some((/** @type {any} */ way) => [...way.changes, ...way.drawn].some((one) => one.size));
    const at = [full, takeoff, landing, { volumes: full.volumes.map(() => 0), changes: [] }], bent = [null, fuel.off.taxi || null, fuel.off.trip || null, null];
    held.states = STATES.map((name, index) => ({
      name, volumes: at[index].volumes, fuel: sum(at[index].volumes), total: fuelTotal(held, at[index].volumes),
      effects: fuelEffects(held, at[index].volumes, at[index].changes, bent[index]),
      limits: limits.filter((/** @type {any} */ each) => each.place === name && ["mass", "cg", "lateral"].includes(each.quantity)),
    }));
    held.contents = new Map(limits.filter((/** @type {any} */ each) => each.quantity === "fuel").map((/** @type {any} */ each) => [each, content(each, held)]));
    known.set(flight.fuel, held);
    return held;
  }

  /** Plan one flight. Throws Refused. @param {any} aircraft compiled @param {any} flight in SI */
  function evaluate(aircraft, flight) {
    const held = unloaded(aircraft, flight), load = loaded(aircraft, flight, held), { zeroFuel } = load;
    const states = held.states.map((/** @type {any} */ each) => {
      const total = { mass: zeroFuel.mass + each.total.mass, moment: zeroFuel.moment + each.total.moment, lateral: zeroFuel.lateral + each.total.lateral };
      const effects = [...load.effects, ...each.effects];
      return { name: each.name, total, volumes: each.volumes, fuel: each.fuel, cg: total.moment / total.mass, limits: each.limits.map((/** @type {any} */ limit) => judge(limit, total, effects)) };
    });
    const burn = burnOf(held, aircraft, load);
    /** @type {Checked[]} */
    const all = [...loadLimits(held, load), ...states.flatMap((/** @type {any} */ state) => state.limits), ...burn.limits];
    return { vents: held.vents, density: held.density, states, burn, fuel: held.fuel, limits: all, verdict: worst([held.fuel.verdict, ...all.map((each) => each.verdict)]) };
  }

  /** @param {any} held @param {any} aircraft @param {any} load */
  function burnOf(held, aircraft, load) {
    /** @type {Stretch[]} */
    const path = held.way.map((/** @type {any} */ each) => flownWith(load.zeroFuel, each)), airborne = path.filter((each) => each.stage !== "taxi");
    /** Everything unsure at a place; what the fuel does at one that every load has is found once. @param {any} point @returns {Effect[]} */
    const effectsOf = (point) => {
      const { stretch, part } = point;
      if (part === null) return [...load.effects, ...fuelEffects(held, point.volumes, point.changes)];
      const known = stretch.known[part] || (stretch.known[part] = fuelEffects(held, point.volumes, point.changes));
      return stretch.effects[part] || (stretch.effects[part] = [...load.effects, ...known]);
    };
    /** @type {Checked[]} */
    const found = [];
    /** @type {[any[], any, string][]} */
    const asked = [];
    for (const variant of aircraft.variants) {
      const changed = variant.suffix !== "";
      const way = changed ? airborne.map((each) => ({ ...each, moment: [each.moment[0] + variant.moment_kg_m, each.moment[1], each.moment[2]] })) : path;
      /** @type {Effect[]} */
      const extra = variant.effects.map((/** @type {any[]} */ [cause, mass, moment, lateral]) => effect(cause, mass, moment, lateral));
      /** @param {any} point */
      const effectsAt = (point) => (extra.length ? [...effectsOf(point), ...extra] : effectsOf(point));
      for (const limit of held.limits) {
        if (limit.place !== "burn" || limit.quantity === "fuel") continue;
        if (changed && (limit.quantity === "lateral" || (variant.only && variant.only !== limit.group))) continue;
        const spans = spansOf(way, limit), least = leastMargin(spans);
        if (!least) continue;
        const checked = judge(limit, least.total, effectsAt(least), true);
        checked.variant = variant.suffix;
        if (checked.verdict === "inside" && (held.unsure || load.effects.length || extra.length))
          for (const side of [AT, LESS, MORE]) {
            const point = doubtfulPoint(spans, limit, effectsAt, side, causes);
            if (!point && !held.sided) break;
            if (!point) continue;
            const other = judge(limit, point.total, effectsAt(point), true);
            checked.verdict = "not shown inside";
            checked.doubt = { margin: other.margin, U: other.U, fuel: point.fuel };
            break;
          }
        found.push(checked);
        asked.push([spans, limit, variant.suffix]);
      }
    }
    return {
      path, limits: found,
      /** Where the burn crosses a limit: for who asks, as no verdict hangs on it. */
      get crossings() {
        const crossed = asked.flatMap(([spans, limit, suffix]) => crossings(spans, limit, suffix)), least = held.limits.find((/** @type {any} */ each) => each.id === K.least_mass);
        if (aircraft.landing_kg !== null) crossed.push(...massCrossing(airborne, "maximum landing mass", aircraft.landing_kg, "in"));
        if (least) crossed.push(...massCrossing(path, least.name, least.bound, "out"));
        return crossed.map((each) => ({ ...each, fuel: each.point.fuel })).sort((a, b) => b.fuel - a.fuel);
      },
    };
  }

  /** A limit on fuel aboard, at each place where it is nearest. @param {any} limit @param {any} held @returns {Checked} */
  function content(limit, held) {
    const { density: { density: rho, u: uRho }, tanks, corners } = held, massed = limit.dimension === "mass", scale = massed ? rho : 1;
    /** @type {Checked[]} */
    const checks = (limit.place === "burn" ? corners : corners.slice(0, 1)).map((/** @type {any} */ { volumes, changes }) => {
      /** @type {Effect[]} */
      const effects = [];
      let value = 0;
      for (const [tank, weight] of limit.tanks) {
        const at = tanks.findIndex((/** @type {any} */ each) => each.tank.name === tank);
        value += weight * volumes[at];
        for (const [cause, change] of changes[at] || []) effects.push(effect(cause, scale * weight * change, 0));
      }
      if (massed && uRho) effects.push(effect(K.fuel_density, uRho * value, 0));
      return result(limit, scale * value, contributions(0, effects, 1));
    });
    return checks.reduce((a, b) => (ORDER.indexOf(b.verdict) > ORDER.indexOf(a.verdict) || (b.verdict === a.verdict && b.margin < a.margin) ? b : a));
  }

  /** Limits on what is aboard. @param {any} held @param {any} load @returns {Checked[]} */
  function loadLimits(held, { stations }) {
    /** @type {Checked[]} */
    const found = [];
    for (const limit of held.limits) {
      if (limit.quantity === "fuel") found.push(held.contents.get(limit));
      else if (limit.quantity === "load" && (limit.always || limit.seats.some((/** @type {any[]} */ [name]) => stations.has(name)))) {
        /** @type {Effect[]} */
        const effects = [];
        let value = 0;
        for (const [name, seat, weight] of limit.seats)
          (stations.get(name) || []).forEach((/** @type {[string, number, number]} */ [cause, mass, u], /** @type {number} */ at) => {
            if (seat !== ALL_SEATS && seat !== at) return;
            value += weight * mass;
            if (u) effects.push(effect(cause, weight * u, 0));
          });
        if (!limit.forbids || value > 0) found.push(result(limit, value, contributions(0, effects, 1)));
      }
    }
    return found;
  }

  return { evaluate, Refused, ORDER, limitsOf, pieceAt, armOf, worst };
}
