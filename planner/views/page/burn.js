// @ts-check
/**
 * The whole burn in closed form: along it the moment is a quadratic of the mass, so that the least margin, every
 * crossing of a limit and the first place not shown inside follow; as planner/flight/burn.py and doubt.py.
 *
 * @typedef {{phase: string, stage: string, start: number, end: number, moment: number[], lateral: number[], time: number,
 *   flow: number, volumes: number[], shares: number[], density: number, changes: Changes[], drawn: Changes[],
 *   known: Effect[][], effects: Effect[][]}} Stretch  `known` of the fuel and `effects` of all, at its thirds
 * @typedef {{name: string, point: any, direction: string}} Crossing
 */
"use strict";

/** @param {any} shared as the model carries it @param {any} numbers @param {any} tanksOf of the same model */
function makeBurn(shared, numbers, tanksOf) {
  const K = shared.constants;
  const { sum, interpolate } = numbers;
  const { combined, NOTHING, volumeMoment, breaks } = tanksOf;

  /** @param {number[]} c @param {number} m */
  const poly = (c, m) => c[0] + (c[1] + c[2] * m) * m;
  /** A quadratic in burnt volume as one in mass. @param {number} x0 @param {number} x1 @param {number} x2
   * @param {number} start @param {number} density */
  function inMass(x0, x1, x2, start, density) {
    const b1 = x1 / density, c2 = x2 / density ** 2;
    return [x0 + b1 * start + c2 * start * start, -b1 - 2 * c2 * start, c2];
  }

  /** The burn's stretches whatever is aboard besides. @param {any[]} tanks @param {number} density @param {Draw[]} draws @param {number} takeoffTime */
  function stretches(tanks, density, draws, takeoffTime) {
    const found = [];
    let time = -takeoffTime;
    for (const draw of draws) {
      const cuts = new Set([0, draw.volume]);
      tanks.forEach((tank, i) => {
        if (draw.shares[i])
          for (const v of breaks(tank)) {
            const x = (draw.start[i] - v) / draw.shares[i];
            if (0 < x && x < draw.volume) cuts.add(x);
          }
      });
      const ordered = [...cuts].sort((a, b) => a - b);
      for (let at = 0; at + 1 < ordered.length; at++) {
        const low = ordered[at], length = ordered[at + 1] - low;
        const volumes = draw.start.map((v, i) => Math.max(v - draw.shares[i] * low, 0));
        let m0 = 0, m1 = 0, m2 = 0, y0 = 0, y1 = 0;
        tanks.forEach((tank, i) => {
          const volume = volumes[i], share = draw.shares[i];
          y0 += density * volume * tank.lateral_arm_m;
          y1 -= density * share * tank.lateral_arm_m;
          m0 += density * volumeMoment(tank, volume);
          if (!share) return;
          const high = volume + tank.unusable_m3, end = Math.max(volume - share * length, 0) + tank.unusable_m3;
          const table = tank.arm_points.length > 1 && high > end;
          const beta = table ? (interpolate(tank.arm_points, high) - interpolate(tank.arm_points, end)) / (high - end) : 0;
          const first = interpolate(tank.arm_points, high) - beta * high;
          m1 -= density * share * (first + 2 * beta * high);
          m2 += density * beta * share * share;
        });
        let { changes, drawn } = draw;
        if (ordered.length > 2 && drawn.some((each) => each.size)) {
          changes = changes.map((each, i) => combined(each, draw.drawn[i], -low / draw.volume));
          drawn = drawn.map((out) => combined(NOTHING, out, length / draw.volume));
        }
        found.push({
          phase: draw.phase, stage: draw.stage, mass: density * sum(volumes), burnt: density * length, time, flow: draw.flow * density,
          turned: [m0, m1, m2], across: [y0, y1], volumes, shares: draw.shares, density, changes, drawn, known: [],
        });
        time += draw.flow ? length / draw.flow : 0;
      }
    }
    return found;
  }

  /** A stretch with everything else aboard. @param {Total} zeroFuel @param {any} way @returns {Stretch} */
  function flownWith(zeroFuel, way) {
    const { turned: [m0, m1, m2], across: [y0, y1], density } = way, start = zeroFuel.mass + way.mass;
    return {
      ...way, start, end: start - way.burnt, effects: [],
      moment: inMass(zeroFuel.moment + m0, m1, m2, start, density), lateral: inMass(zeroFuel.lateral + y0, y1, 0, start, density),
    };
  }

  /** A place of the burn; its fuel is found when it is asked for. `part` counts the thirds of its stretch. */
  class Point {
    /** @param {Stretch} stretch @param {number} mass @param {number|null} part */
    constructor(stretch, mass, part) {
      this.stretch = stretch;
      this.part = mass === stretch.start ? 0 : mass === stretch.end ? 3 : part;
      this.total = { mass, moment: poly(stretch.moment, mass), lateral: poly(stretch.lateral, mass) };
    }
    get volumes() {
      const { stretch, total } = this, burnt = (stretch.start - total.mass) / stretch.density;
      return stretch.volumes.map((v, i) => Math.max(v - stretch.shares[i] * burnt, 0));
    }
    get fuel() {
      return sum(this.volumes);
    }
    get time() {
      const { stretch, total } = this;
      return stretch.time + (stretch.flow ? (stretch.start - total.mass) / stretch.flow : 0);
    }
    get changes() {
      const { start, end, changes, drawn } = this.stretch;
      const part = start > end ? (start - this.total.mass) / (start - end) : 1;
      return drawn.some((each) => each.size) ? changes.map((each, i) => combined(each, drawn[i], -part)) : changes;
    }
  }
  /** @param {Stretch} stretch @param {number} mass @param {number|null} part */
  const pointAt = (stretch, mass, part = null) => new Point(stretch, mass, part);

  /** Margin x mass = A + B m + C m2, span by span. @param {Stretch[]} path @param {any} limit */
  function spansOf(path, limit) {
    const found = [], sign = limit.upper ? 1 : -1;
    for (const stretch of path) {
      const [a, b, c] = limit.quantity === "lateral" ? stretch.lateral : stretch.moment;
      for (let at = limit.pieces.length - 1; at >= 0; at--) {
        const piece = limit.pieces[at], high = Math.min(stretch.start, piece.high), low = Math.max(stretch.end, piece.low);
        if (high - low > K.empty_range_kg)
          found.push({ stretch, piece, high, low, a: sign * (piece.p - a), b: sign * (piece.q - b), c: sign * (piece.r - c) });
      }
    }
    return found;
  }
  /** @param {number} a @param {number} c @param {number} high @param {number} low */
  function candidates(a, c, high, low) {
    if (c !== 0 && a / c > 0) {
      const still = Math.sqrt(a / c);
      if (low < still && still < high) return [high, low, still];
    }
    return [high, low];
  }
  /** The place of the least margin. @param {any[]} spans */
  function leastMargin(spans) {
    let margin = Infinity, best = null;
    for (const { stretch, high, low, a, b, c } of spans)
      for (const mass of candidates(a, c, high, low)) {
        const here = a / mass + b + c * mass;
        if (!best || here < margin) {
          margin = here;
          best = { stretch, mass };
        }
      }
    return best && pointAt(best.stretch, best.mass);
  }

  /** Every place where the burn crosses a limit: a root of A + B m + C m2 with a change of sign. @param {any[]} spans
   * @param {any} limit @param {string} variant */
  function crossings(spans, limit, variant) {
    /** @type {Crossing[]} */
    const found = [];
    let before = 0;
    for (const { stretch, high, low, a, b, c } of spans) {
      const ends = [high, ...roots(a, b, c).filter((m) => low < m && m < high).sort((one, other) => other - one), low];
      for (let at = 0; at + 1 < ends.length; at++) {
        const middle = (ends[at] + ends[at + 1]) / 2, value = a + b * middle + c * middle * middle;
        const sign = Math.abs(value) <= 1e-12 * (Math.abs(a) + Math.abs(b * middle) + Math.abs(c * middle * middle)) ? 0 : Math.sign(value);
        if (sign && before && sign !== before) found.push({ name: limit.name + variant, point: pointAt(stretch, ends[at]), direction: sign > 0 ? "in" : "out" });
        before = sign || before;
      }
    }
    return found;
  }
  /** @param {number} a @param {number} b @param {number} c @returns {number[]} */
  function roots(a, b, c) {
    if (c === 0) return b ? [-a / b] : [];
    const discriminant = b * b - 4 * a * c;
    if (discriminant < 0) return [];
    const q = -(b + (b < 0 || Object.is(b, -0) ? -1 : 1) * Math.sqrt(discriminant)) / 2;
    return [q / c, q ? a / q : q / c];
  }
  /** Where the falling mass passes a limit. @param {Stretch[]} path @param {string} name @param {number} limit @param {string} direction @returns {Crossing[]} */
  function massCrossing(path, name, limit, direction) {
    const stretch = path.find((each) => each.end < limit && limit < each.start || (limit === each.end && each !== path[path.length - 1]));
    return stretch ? [{ name, point: pointAt(stretch, limit), direction }] : [];
  }

  /** @type {Float64Array[]} */
  let control = [];
  /** The first place of the burn whose margin is not larger than its U, by halving. @param {any[]} spans @param {any} limit
   * @param {(point: any) => Effect[]} effectsAt @param {number} side @param {Map<string, number>} causes */
  function doubtfulPoint(spans, limit, effectsAt, side, causes) {
    const across = limit.quantity === "lateral";
    for (const { stretch, piece, high, low, a, b, c } of spans) {
      const whole = high === stretch.start && low === stretch.end;
      /** @type {any[]} */
      const points = [], effects = [];
      for (let third = 0; third < 4; third++) {
        points.push(pointAt(stretch, high + ((low - high) * third) / 3, whole ? third : null));
        effects.push(effectsAt(points[third]));
      }
      const count = causes.size;
      if (!control.length || control[0].length < count) control = points.map(() => new Float64Array(2 * count));
      for (let third = 0; third < 4; third++) {
        const { mass, moment, lateral } = points[third].total, values = control[third].fill(0, 0, count);
        const byMass = piece.r * mass * mass - piece.p + (across ? lateral : moment);
        for (const each of effects[third])
          if (each.side < 0 || each.side === side) values[each.at] += byMass * each.mass - mass * (across ? each.lateral : each.moment);
      }
      const [p0, p1, p2, p3] = control;
      for (let at = 0; at < count; at++) {
        const q1 = p1[at], q2 = p2[at];
        p1[at] = (-5 * p0[at] + 18 * q1 - 9 * q2 + 2 * p3[at]) / 6;
        p2[at] = (2 * p0[at] - 9 * q1 + 18 * q2 - 5 * p3[at]) / 6;
      }
      const mass = doubt(a, b, c, high, low, control, count, K.depth);
      if (mass !== null) return pointAt(stretch, mass);
    }
    return null;
  }
  /** @param {number} a @param {number} b @param {number} c @param {number} high @param {number} low
   * @param {Float64Array[]} control for each of the four places what every cause does @param {number} count of the causes
   * @param {number} depth @returns {number|null} */
  function doubt(a, b, c, high, low, control, count, depth) {
    const norms = [0, 0, 0, 0];
    let most = 0, least = Infinity;
    for (let of = 0; of < 4; of++) {
      const each = control[of];
      let squares = 0;
      for (let at = 0; at < count; at++) squares += each[at] * each[at];
      norms[of] = K.coverage * Math.sqrt(squares);
      most = Math.max(most, norms[of]);
    }
    for (const mass of candidates(a, c, high, low)) least = Math.min(least, a / mass + b + c * mass);
    if (least > most / (low * low)) return null;
    if (a / high + b + c * high <= norms[0] / (high * high)) return high;
    if (a / low + b + c * low <= norms[3] / (low * low)) return low;
    const middle = (high + low) / 2;
    if (!depth) return middle;
    const [first, second] = [0, 1].map(() => control.map(() => new Float64Array(count)));
    for (let at = 0; at < count; at++) {
      const [b0, b1, b2, b3] = control.map((each) => each[at]);
      const p = (b0 + b1) / 2, q = (b1 + b2) / 2, r = (b2 + b3) / 2, s = (p + q) / 2, t = (q + r) / 2, m = (s + t) / 2;
      [b0, p, s, m].forEach((each, of) => { first[of][at] = each; });
      [m, t, r, b3].forEach((each, of) => { second[of][at] = each; });
    }
    return doubt(a, b, c, high, middle, first, count, depth - 1) || doubt(a, b, c, middle, low, second, count, depth - 1);
  }

  return { stretches, flownWith, spansOf, leastMargin, crossings, massCrossing, doubtfulPoint };
}
