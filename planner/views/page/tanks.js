// @ts-check
/**
 * Fuel in tanks: what is in them and how sure, the moment it makes, and the order in which it is burnt; as
 * planner/flight/fuel.py has it. Units: m3, m, kg/m3.
 *
 * @typedef {Map<string, number>} Changes  cause -> what one standard uncertainty does to a volume [m3]
 * @typedef {{phase: string, stage: string, volume: number, flow: number, tanks: string[], changes: Changes}} Leg
 * @typedef {{phase: string, stage: string, start: number[], shares: number[], volume: number, flow: number,
 *   changes: Changes[], drawn: Changes[]}} Draw
 * @typedef {{less: number[], more: number[]}} Turn
 * @typedef {Map<string, Turn>} Off
 */
"use strict";

/** @param {any} shared as the model carries it @param {any} numbers of the same model */
function makeTanks(shared, numbers) {
  const K = shared.constants;
  const { refuse, over, interpolate } = numbers;

  // ---- what is unsure about a volume

  /** first + factor x second, without what is rounding. @param {Changes} first @param {Changes} second @param {number} factor */
  function combined(first, second, factor = 1) {
    if (!second.size) return first;
    const result = new Map(first);
    for (const [cause, change] of second) result.set(cause, (result.get(cause) || 0) + factor * change);
    for (const [cause, change] of result) if (!(Math.abs(change) > K.rounding_m3)) result.delete(cause);
    return result;
  }
  /** @param {[string, number][]} pairs @returns {Changes} */
  const known = (pairs) => {
    const result = new Map();
    for (const [cause, change] of pairs) if (change) result.set(cause, change);
    return result;
  };

  // ---- tanks

  /** @param {number[][]} points @param {number} unusable @param {number} usable volume x arm [m4] */
  function momentOf(points, unusable, usable) {
    if (points.length === 1) return usable * points[0][1];
    const total = usable + unusable;
    return total * interpolate(points, total) - unusable * interpolate(points, unusable);
  }
  /** @param {any} tank @param {number} usable */
  const volumeMoment = (tank, usable) => momentOf(tank.arm_points, tank.unusable_m3, usable);
  /** @param {any} tank @param {number} usable */
  function marginalArm(tank, usable) {
    const points = tank.arm_points, total = usable + tank.unusable_m3;
    if (points.length === 1) return points[0][1];
    const low = Math.max(total - 1e-6 * tank.capacity_m3, 0), arm = interpolate(points, total);
    return arm + over(total * (arm - interpolate(points, low)), total - low);
  }
  /** @param {any} tank @returns {number[]} */
  const breaks = (tank) => (tank.arm_points.length < 2 ? [] : tank.arm_points
    .map((/** @type {number[]} */ each) => each[0]).filter((/** @type {number} */ v) => v > tank.unusable_m3)
    .map((/** @type {number} */ v) => v - tank.unusable_m3));
  /** @param {any} tank @param {number} usable @returns {[string, number][]} */
  function armEffects(tank, usable) {
    /** @type {[string, number][]} */
    const found = [];
    const table = tank.arm_points.length > 1;
    tank.arm_us.forEach((/** @type {number} */ u, /** @type {number} */ index) => {
      if (!u) return;
      const only = tank.arm_points.map((/** @type {number[]} */ each, /** @type {number} */ at) => [each[0], at === index ? 1 : 0]);
      found.push([`${tank.name} tank arm${table ? `, point ${index + 1}` : ""}`, u * momentOf(only, tank.unusable_m3, usable)]);
    });
    if (tank.unusable_u_m3 && table)
      found.push([`unusable fuel in ${tank.name} tank`, tank.unusable_u_m3 * (marginalArm(tank, usable) - marginalArm(tank, 0))]);
    return found;
  }

  /** What is in a tank. @param {any} tank @param {any} content @param {any} density */
  function filled(tank, content, density) {
    const fuel = `fuel in ${tank.name} tank`, rest = `unusable fuel in ${tank.name} tank`, where = ["fuel", "tanks", tank.name];
    let volume = 0, byMass = false;
    /** @type {[string, number][]} */
    let pairs = [];
    if (content.usable && content.usable.dimension === "mass") {
      byMass = true;
      volume = content.usable.value / density.density;
      pairs = [[fuel, content.usable.u / density.density], [K.fuel_density, (-volume / density.density) * density.u]];
    } else if (content.usable) {
      volume = content.usable.value;
      pairs = [[fuel, content.usable.u]];
    } else if (content.total) {
      volume = content.total.value - tank.unusable_m3;
      pairs = [[fuel, content.total.u], [rest, -tank.unusable_u_m3]];
    } else {
      const stick = tank.stick, dip = content.dipstick;
      if (!stick) refuse(where, `tank '${tank.name}' has no dip table`);
      const rows = stick.rows, last = rows.length - 1;
      if (!(rows[0][0] <= dip.value && dip.value <= rows[last][0])) refuse(where, "the dip is off the stick's table");
      volume = interpolate(rows, dip.value);
      const reach = K.coverage * dip.u;
      let steepest = -Infinity, read = false;
      /** @type {[string, number][]} */
      const table = [];
      for (let at = 0; at < last; at++) {
        const [d1, v1, u1] = rows[at], [d2, v2, u2] = rows[at + 1];
        if (d2 >= dip.value - reach && d1 <= dip.value + reach) steepest = Math.max(steepest, (v2 - v1) / (d2 - d1));
        if (!read && d1 <= dip.value && dip.value <= d2) {
          const part = (dip.value - d1) / (d2 - d1);
          table.push([`${tank.name} dipstick, row ${at + 1}`, (1 - part) * u1], [`${tank.name} dipstick, row ${at + 2}`, part * u2]);
          read = true;
        }
      }
      pairs = [[fuel, dip.u * steepest]];
      if (stick.total) {
        volume -= tank.unusable_m3;
        pairs.push([rest, -tank.unusable_u_m3]);
      }
      pairs.push(...table);
    }
    const usable = tank.capacity_m3 - tank.unusable_m3;
    if (volume < -1e-9) refuse(where, `less than the unusable fuel in the ${tank.name} tank`);
    if (volume > usable * (1 + 1e-9)) refuse(where, `more than the ${tank.name} tank holds`);
    return { tank, volume: Math.max(volume, 0), byMass, changes: known(pairs) };
  }

  /** @param {Draw} draw */
  const endOf = (draw) => draw.start.map((v, i) => Math.max(v - draw.shares[i] * draw.volume, 0));
  /** @param {Draw} draw */
  const endChanges = (draw) => draw.changes.map((each, i) => combined(each, draw.drawn[i], -1));
  /** @type {Changes} */
  const NOTHING = new Map();

  /** Draw the legs from the tanks, stretch by stretch.
   * @param {string[]} names @param {number[]} volumes @param {string[][]} order @param {Leg[]} legs
   * @param {Changes[]|null} changes @param {boolean} goOn */
  function burnDown(names, volumes, order, legs, changes, goOn = false) {
    let current = [...volumes];
    /** @type {Changes[]} */
    let unsure = changes && changes.length ? [...changes] : current.map(() => NOTHING);
    /** @type {Draw[]} */
    const draws = [];
    /** @type {{phase: string, stage: string, missing: number, named: string[], leg: number}[]} */
    const shortages = [];
    legs.forEach((leg, number) => {
      const rest = leg.stage === "reserve";
      let left = rest ? Infinity : leg.volume, wanted = leg.changes;
      for (const group of leg.tanks.length ? [leg.tanks, ...(goOn ? order : [])] : order) {
        const members = group.map((name) => names.indexOf(name));
        while (left > K.empty_m3) {
          const live = members.filter((i) => current[i] > K.empty_m3);
          if (!live.length) break;
          const share = 1 / live.length, least = live.reduce((a, b) => (current[b] < current[a] ? b : a));
          const dry = current[least] / share < left, volume = dry ? current[least] / share : left;
          const drawn = current.map(() => NOTHING);
          if (wanted.size || members.some((i) => unsure[i].size)) {
            for (const i of members)
              if (current[i] <= K.empty_m3 && unsure[i].size) {
                drawn[i] = unsure[i];
                wanted = combined(wanted, unsure[i], -1);
              }
            const emptied = dry ? live.filter((i) => current[i] <= current[least] + K.empty_m3) : [];
            let alike = dry ? NOTHING : combined(NOTHING, wanted, share);
            for (const i of emptied) alike = combined(alike, unsure[i], 1 / emptied.length);
            for (const i of live) drawn[i] = emptied.includes(i) ? unsure[i] : alike;
          }
          const draw = {
            phase: leg.phase, stage: leg.stage, start: current, volume, flow: leg.flow, changes: unsure, drawn,
            shares: current.map((_, i) => (live.includes(i) ? share : 0)),
          };
          draws.push(draw);
          [current, unsure] = [endOf(draw), endChanges(draw)];
          left -= volume;
          for (const i of live) wanted = combined(wanted, drawn[i], -1);
        }
      }
      if (left > K.empty_m3 && !rest)
        shortages.push({ phase: leg.phase, stage: leg.stage, missing: left, named: leg.tanks, leg: number });
    });
    return { draws, shortages };
  }

  /** The volumes after taxi and trip with every cause `far` standard uncertainties less and more.
   * @param {string[]} names @param {number[]} volumes @param {string[][]} order @param {Leg[]} legs @param {Changes[]} changes */
  function offCourse(names, volumes, order, legs, changes) {
    /** @type {{[stage: string]: Off}} */
    const found = { taxi: new Map(), trip: new Map() };
    const causes = new Set([...changes, ...legs.map((leg) => leg.changes)].flatMap((each) => [...each.keys()]));
    for (const cause of causes) {
      /** @type {{[stage: string]: number[][]}} */
      const ends = { taxi: [], trip: [] };
      for (const sign of [-K.far, K.far]) {
        const start = volumes.map((v, i) => Math.max(v + sign * (changes[i].get(cause) || 0), 0));
        const flown = legs.map((leg) => ({ ...leg, volume: Math.max(leg.volume + sign * (leg.changes.get(cause) || 0), 0), changes: NOTHING }));
        const { draws } = burnDown(names, start, order, flown, null, true);
        let at = start;
        for (const stage of ["taxi", "trip"]) {
          const last = draws.filter((draw) => draw.stage === stage).pop();
          if (last) at = endOf(last);
          ends[stage].push(at);
        }
      }
      for (const stage of ["taxi", "trip"]) found[stage].set(cause, { less: ends[stage][0], more: ends[stage][1] });
    }
    return found;
  }

  return { combined, NOTHING, volumeMoment, marginalArm, breaks, armEffects, filled, endOf, endChanges, burnDown, offCourse };
}
