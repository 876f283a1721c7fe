// @ts-check
/**
 * Sums, the error function, straight lines, and the density of fuel against temperature: what the evaluator
 * reckons with. Source of the density: the petroleum tables as planner/density has them, from the model.
 *
 * @typedef {{value: number, u: number, dimension?: string}} Figure
 */
"use strict";

/** @param {any} shared constants, petroleum tables and grades of the model */
function makeNumbers(shared) {
  const K = shared.constants;

  /** What the flight cannot be planned with. */
  class Refused extends Error {
    /** @param {{where: (string|number)[], what: string}[]} findings */
    constructor(findings) {
      super(findings.map((each) => each.what).join("; "));
      this.findings = findings;
    }
  }
  /** @param {(string|number)[]} where @param {string} what @returns {never} */
  function refuse(where, what) {
    throw new Refused([{ where, what }]);
  }

  // ---- arithmetic

  /** The correctly rounded sum (Shewchuk's partials). @param {number[]} parts */
  function sum(parts) {
    if (parts.length < 3) return (parts[0] || 0) + (parts[1] || 0);
    /** @type {number[]} */
    const partials = [];
    for (let x of parts) {
      let kept = 0;
      for (let y of partials) {
        if (Math.abs(x) < Math.abs(y)) [x, y] = [y, x];
        const high = x + y, low = y - (high - x);
        if (low) partials[kept++] = low;
        x = high;
      }
      partials.length = kept;
      partials.push(x);
    }
    let n = partials.length, high = n ? partials[--n] : 0, low = 0;
    while (n > 0) {
      const x = high, y = partials[--n];
      high = x + y;
      low = y - (high - x);
      if (low) break;
    }
    if (n > 0 && (low < 0) === (partials[n - 1] < 0) && low && partials[n - 1]) {
      const twice = low * 2, x = high + twice;
      if (twice === x - high) high = x;
    }
    return high;
  }

  /** The root of the sum of squares. @param {Iterable<number>} parts */
  function hypot(parts) {
    let squares = 0;
    for (const each of parts) squares += each * each;
    return Math.sqrt(squares);
  }
  /** @param {number} a @param {number} b */
  const over = (a, b) => (b > 0 ? a / b : 0);

  /** The error function: a series of like signs below 3, a continued fraction above. @param {number} x @returns {number} */
  function erf(x) {
    if (x < 0) return -erf(-x);
    if (x > 6) return 1;
    if (x < 3) {
      let term = x, total = x;
      for (let n = 1; term > 1e-18 * total; n++) total += term *= (2 * x * x) / (2 * n + 1);
      return (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * total;
    }
    let tail = 0;
    for (let n = 120; n > 0; n--) tail = n / 2 / (x + tail);
    return 1 - Math.exp(-x * x) / Math.sqrt(Math.PI) / (x + tail);
  }

  /** Straight lines between points, constant outside them. @param {number[][]} points @param {number} x */
  function interpolate(points, x) {
    if (x <= points[0][0]) return points[0][1];
    if (x >= points[points.length - 1][0]) return points[points.length - 1][1];
    const upper = points.findIndex((each) => each[0] >= x);
    const [x1, y1] = points[upper - 1], [x2, y2] = points[upper];
    return y1 + ((y2 - y1) * (x - x1)) / (x2 - x1);
  }

  // ---- density

  const oil = shared.petroleum;
  /** @param {number[]} p @param {number} rho15 */
  const alpha = (p, rho15) => (p[0] / rho15 + p[1]) / rho15 + p[2];
  /** @param {number} a @param {number} t */
  const factor = (a, t) => {
    const step = a * (t - oil.base_c);
    return Math.exp(-step * (1 + 0.8 * step));
  };
  /** @param {number[]} p @param {number} rho15 @param {number} t */
  const densityIn = (p, rho15, t) => rho15 * factor(alpha(p, rho15), t);
  /** @param {number[]} p @param {number} rho15 @param {number} t */
  function slope(p, rho15, t) {
    const dt = t - oil.base_c, a = alpha(p, rho15), rate = (-((2 * p[0]) / rho15 + p[1])) / rho15;
    return factor(a, t) * (1 - rate * dt * (1 + 1.6 * a * dt));
  }
  /** @param {number[]} p @param {number} rho15 @param {number} t */
  const slopeInTemperature = (p, rho15, t) =>
    -alpha(p, rho15) * (1 + 1.6 * alpha(p, rho15) * (t - oil.base_c)) * densityIn(p, rho15, t);
  /** @param {number} rho15 @returns {number[]} */
  function productOf(rho15) {
    if (!(oil.lowest_kg_per_m3 <= rho15 && rho15 <= oil.highest_kg_per_m3))
      refuse(["fuel", "density"], "the density is outside the petroleum tables");
    return oil.products[oil.borders_kg_per_m3.filter((/** @type {number} */ b) => rho15 > b).length];
  }
  /** @param {number[]} product @param {number} t */
  function checkTemperature(product, t) {
    if (!(oil.coldest_c <= t && t <= product[5]))
      refuse(["fuel", "temperature"], "the temperature is outside the petroleum tables");
  }
  /** @param {number} rho15 @param {number} t */
  function densityAt(rho15, t) {
    const product = productOf(rho15);
    checkTemperature(product, t);
    return densityIn(product, rho15, t);
  }
  /** @param {number} seen @param {number} t */
  function density15From(seen, t) {
    const last = oil.products.length - 1, products = oil.products;
    if (!(oil.coldest_c <= t && t <= products[last][5])) checkTemperature(products[last], t);
    const edges = [oil.lowest_kg_per_m3, ...oil.borders_kg_per_m3, oil.highest_kg_per_m3];
    if (!(densityIn(products[0], edges[0], t) - 1e-9 <= seen && seen <= densityIn(products[last], edges[last + 1], t) + 1e-9))
      refuse(["fuel", "density"], "this density has none at 15 degC in the petroleum tables");
    for (let at = 0; at <= last; at++) {
      const product = products[at];
      if (seen > densityIn(product, edges[at + 1], t) + 1e-9) continue;
      checkTemperature(product, t);
      let density = seen;
      for (let turn = 0; turn < 50; turn++) {
        const step = (densityIn(product, density, t) - seen) / slope(product, density, t);
        density -= step;
        if (Math.abs(step) < 1e-10) break;
      }
      return Math.min(Math.max(density, edges[at]), edges[at + 1]);
    }
    return oil.highest_kg_per_m3;
  }
  /** What the tables are unsure by over a correction. @param {number} rho15 @param {number} t @param {any} grade */
  function byModel(rho15, t, grade) {
    checkTemperature(productOf(rho15), t);
    const fit = grade.unleaded ? oil.unleaded_fit : oil.generic_fit;
    return hypot([(fit * rho15 * Math.abs(t - oil.base_c)) / oil.reference_span_k, grade.u_ethanol_kg_per_m3_k * Math.abs(t - 15)]);
  }

  /** @param {any} fuel grade, temperature, density {way, value, at} of the flight */
  function densityOf(fuel) {
    const grade = shared.grades[fuel.grade], { way, value, at } = fuel.density;
    if (value && !(K.least_density_kg_per_m3 <= value.value && value.value <= K.greatest_density_kg_per_m3))
      refuse(["fuel", "density"], "no aviation fuel has this density");
    if (way === "fixed") return { density: value.value, u: value.u, at15: null, temperature: null };
    if (!fuel.temperature) return refuse(["fuel", "temperature"], "the fuel's temperature is missing");
    const t = fuel.temperature.value, uT = fuel.temperature.u;
    if (way === "measured") {
      const at15 = density15From(value.value, at.value), product = productOf(at15);
      const fromFigure = slope(product, at15, t) / slope(product, at15, at.value);
      return {
        density: densityAt(at15, t), at15, temperature: t,
        u: hypot([value.u * fromFigure, fromFigure * slopeInTemperature(product, at15, at.value) * at.u,
          slopeInTemperature(product, at15, t) * uT, byModel(at15, 15 + (t - at.value), grade)]),
      };
    }
    const stated = way === "at_15C";
    const at15 = stated ? value.value : grade.standard_density_kg_per_m3, u = stated ? value.u : grade.batch_u_kg_per_m3;
    const density = densityAt(at15, t), product = productOf(at15);
    let byFigure = u * slope(product, at15, t);
    for (const end of [at15 - u, at15 + u])
      if (oil.lowest_kg_per_m3 <= end && end <= oil.highest_kg_per_m3 && productOf(end) !== product)
        byFigure = Math.max(byFigure, Math.abs(densityAt(end, t) - densityIn(product, at15, t)));
    return { density, at15, temperature: t, u: hypot([byFigure, slopeInTemperature(product, at15, t) * uT, byModel(at15, t, grade)]) };
  }

  /** The share by which fuel grows when it warms in the sun. @param {any} used as `densityOf` gives it */
  function growth(used) {
    try {
      return used.density / densityAt(used.at15, used.temperature + K.sun_k) - 1;
    } catch {
      return alpha(productOf(used.at15), used.at15) * K.sun_k;
    }
  }

  return { growth, Refused, refuse, sum, hypot, over, erf, interpolate, densityOf };
}
