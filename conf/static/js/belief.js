// A compiled symptom narrowed to one unit, and how probable each of its faults is. The same steps in the same
// order as sparkgap/diagnosis/specialise.py, belief.py and conflict.py, held together by
// tests/vectors/diagnosis.json. Pure functions over plain data; no DOM.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  var NORMAL = "normal";
  var OTHER = "other";
  var TIE = 1e-9;

  function has(object, name) {
    return Object.prototype.hasOwnProperty.call(object, name);
  }

  function absent(value) {
    return value === null || value === undefined;
  }

  function byId(list) {
    return list.slice().sort(function (a, b) { return a.id < b.id ? -1 : a.id > b.id ? 1 : 0; });
  }

  // ---- narrowing to a unit ----

  function equal(value, other) {
    if (typeof value === "string" || typeof other === "string") { return value === other; }
    return Math.abs(value - other) <= TIE * Math.max(Math.abs(value), Math.abs(other));
  }

  function holds(condition, value) {
    if (has(condition, "any")) {
      return condition.any.some(function (allowed) { return equal(value, allowed); });
    }
    if (!absent(condition.low) && value < condition.low && !equal(value, condition.low)) { return false; }
    return absent(condition.high) || (value < condition.high && !equal(value, condition.high));
  }

  function count(counts, name) {
    counts.set(name, (counts.get(name) || 0) + 1);
  }

  function mostCounted(counts) {
    var most = null;
    Array.from(counts.keys()).sort().forEach(function (name) {
      if (most === null || counts.get(name) > counts.get(most)) { most = name; }
    });
    return most;
  }

  // true, false, or null when it hangs on plate values, which are counted in missing (a Map).
  function applies(conditions, plate, missing) {
    var unknown = [];
    var list = conditions || [];
    for (var i = 0; i < list.length; i += 1) {
      var value = has(plate, list[i].name) ? plate[list[i].name] : null;
      if (absent(value)) {
        unknown.push(list[i].name);
      } else if (!holds(list[i], value)) {
        return false;
      }
    }
    unknown.forEach(function (name) { count(missing, name); });
    return unknown.length ? null : true;
  }

  function priorOf(weights, faults) {
    var rest = 1.0 - weights.normal - weights.other;
    var total = 0.0;
    faults.forEach(function (fault) { total += fault.weight; });
    var prior = {};
    prior[NORMAL] = weights.normal;
    prior[OTHER] = weights.other;
    faults.forEach(function (fault) {
      prior[fault.id] = total > 0.0 ? (rest * fault.weight) / total : rest / faults.length;
    });
    return prior;
  }

  function runCalculator(unit, id, output) {
    var calculator = has(unit.calculators, id) ? unit.calculators[id] : null;
    if (!calculator) { return null; }
    var outputs = null;
    try {
      outputs = calculator(unit.plate);
    } catch {
      return null; // a plate the formula cannot take: the typical minutes count
    }
    var seconds = outputs ? outputs[output] : null;
    return typeof seconds === "number" && isFinite(seconds) && seconds >= 0.0 ? seconds : null;
  }

  function minutesOf(stated, unit) {
    if (typeof stated === "number") { return stated; }
    var lacking = (stated.needs || []).filter(function (name) { return absent(unit.plate[name]); });
    lacking.forEach(function (name) { count(unit.missing, name); });
    var seconds = lacking.length ? null : runCalculator(unit, stated.calculator, stated.output);
    return seconds === null ? stated.typical : seconds / 60.0 + (stated.plus || 0.0);
  }

  function narrowMeasure(measure, unit) {
    if (!measure) { return null; }
    var unsure = false;
    var possible = measure.limits.filter(function (limit) {
      var state = applies(limit.when, unit.plate, unit.missing);
      unsure = unsure || state === null;
      return state !== false;
    });
    var band = possible.length === 1 && !unsure ? possible[0] : null;
    return Object.assign({}, measure, { limits: possible, band: band });
  }

  function isSafety(limit) {
    return Boolean(limit.safety);
  }

  function narrowCheck(check, prior, unit) {
    var rows = {};
    Object.keys(check.rows).forEach(function (name) {
      if (name === "*" || has(prior, name)) { rows[name] = check.rows[name]; }
    });
    var measure = narrowMeasure(check.measure, unit);
    return Object.assign({}, check, {
      minutes: minutesOf(check.minutes, unit),
      rows: rows,
      measure: measure,
      safety: measure !== null && (Boolean(measure.safety) || measure.limits.some(isSafety))
    });
  }

  // The first part that surely fits; else the dearest that may fit; else the dearest of all.
  function priceOf(prices, constants, unit) {
    if (!prices || !prices.length) { return { usd: 0.0, wait_minutes: 0.0, fits: true }; }
    var states = prices.map(function (price) { return applies(price.when, unit.plate, unit.missing); });
    var sure = states.indexOf(true);
    if (sure >= 0) { return { usd: prices[sure].usd, wait_minutes: prices[sure].wait_minutes, fits: true }; }
    var possible = prices.filter(function (price, n) { return states[n] === null; });
    var chosen = null;
    var highest = -1.0;
    (possible.length ? possible : prices).forEach(function (price) {
      var cost = (price.usd / constants.shop_rate) * 60.0 + price.wait_minutes;
      if (cost > highest) { chosen = price; highest = cost; }
    });
    return { usd: chosen.usd, wait_minutes: chosen.wait_minutes, fits: possible.length ? null : false };
  }

  function narrowRemedy(remedy, prior, constants, unit) {
    var price = priceOf(remedy.price, constants, unit);
    return Object.assign({}, remedy, {
      ends: remedy.ends.filter(function (fault) { return has(prior, fault); }).sort(),
      minutes: minutesOf(remedy.minutes, unit),
      proof_minutes: minutesOf(remedy.proof_minutes, unit),
      usd: price.usd,
      wait_minutes: price.wait_minutes,
      part_minutes: (price.usd / constants.shop_rate) * 60.0 + price.wait_minutes,
      fits: price.fits
    });
  }

  // plate: {id: choice or SI number}; calculators: {id: function (plate) -> {output: SI} or null}.
  function specialise(model, plate, calculators) {
    var unit = { plate: plate, calculators: calculators || {}, missing: new Map() };
    function mayApply(item) { return applies(item.when, plate, unit.missing) !== false; }
    var faults = byId(model.faults.filter(mayApply));
    var prior = priorOf(model.weights, faults);
    function speaks(check) {
      return check.first || Object.keys(check.rows).some(function (name) { return has(prior, name); });
    }
    function ends(remedy) { return remedy.ends.some(function (fault) { return has(prior, fault); }); }
    return {
      symptom: model.symptom,
      title: absent(model.title) ? model.symptom : model.title,
      constants: model.constants,
      hypotheses: Object.keys(prior).sort(),
      prior: prior,
      faults: faults,
      checks: byId(model.checks).filter(mayApply).filter(speaks).map(function (check) {
        return narrowCheck(check, prior, unit);
      }),
      remedies: byId(model.remedies).filter(ends).filter(mayApply).map(function (remedy) {
        return narrowRemedy(remedy, prior, model.constants, unit);
      }),
      access: model.access,
      missing: Array.from(unit.missing.keys()).sort(),
      ask_first: mostCounted(unit.missing)
    };
  }

  // ---- belief ----

  function row(check, hypothesis) {
    return has(check.rows, hypothesis) ? check.rows[hypothesis] : check.rows["*"];
  }

  function weigh(weighted, probabilities) {
    var total = 0.0;
    for (var i = 0; i < weighted.length; i += 1) { total += weighted[i] * probabilities[i]; }
    return total;
  }

  // q: the chance that the unit still does it after the remedy, if the hypothesis is true.
  function survives(remedy, hypothesis) {
    if (hypothesis === NORMAL) { return 0.0; }
    return remedy.ends.indexOf(hypothesis) >= 0 ? remedy.fails : 1.0;
  }

  function failedRemedies(sm, evidence) {
    var failed = evidence.failed || [];
    return sm.remedies.filter(function (remedy) { return failed.indexOf(remedy.id) >= 0; });
  }

  function replacedWeights(sm, evidence) {
    var factors = {
      "for-this": sm.constants.replaced_persisted,
      before: sm.constants.replaced_before,
      unknown: 1.0
    };
    var weights = Object.assign({}, sm.prior);
    (evidence.replaced || []).forEach(function (entry) {
      if (!has(factors, entry.when)) { throw new Error("replaced: unknown time " + entry.when); }
      var ended = new Set();
      sm.remedies.forEach(function (remedy) {
        if (entry.part === remedy.id || (!absent(remedy.part) && entry.part === remedy.part)) {
          remedy.ends.forEach(function (fault) { ended.add(fault); });
        }
      });
      ended.forEach(function (fault) { weights[fault] *= factors[entry.when]; });
    });
    return weights;
  }

  function context(sm, evidence) {
    var weights = replacedWeights(sm, evidence);
    failedRemedies(sm, evidence).forEach(function (remedy) {
      sm.hypotheses.forEach(function (name) {
        weights[name] *= survives(remedy, name) * (1.0 - remedy.misses);
      });
    });
    return weights;
  }

  // The answered checks in order of id, each with the weights of its answers.
  function findings(sm, evidence) {
    var reliability = sm.constants.hearsay_reliability;
    var results = evidence.results || {};
    var found = [];
    sm.checks.forEach(function (check) {
      var result = has(results, check.id) ? results[check.id] : null;
      if (!result) { return; }
      var weighted = check.answers.map(function (answer) {
        return has(result.v, answer) ? result.v[answer] : 0.0;
      });
      if (!weighted.some(function (value) { return value > 0.0; })) { return; }
      if (result.hearsay) {
        var count = weighted.length;
        weighted = weighted.map(function (value) {
          return reliability * value + (1.0 - reliability) / count;
        });
      }
      found.push({ check: check, weighted: weighted });
    });
    return found;
  }

  function joint(sm, evidence) {
    var weights = context(sm, evidence);
    findings(sm, evidence).forEach(function (found) {
      sm.hypotheses.forEach(function (name) {
        weights[name] *= weigh(found.weighted, row(found.check, name));
      });
    });
    return weights;
  }

  function totalOf(sm, weights) {
    var total = 0.0;
    sm.hypotheses.forEach(function (name) { total += weights[name]; });
    return total;
  }

  function belief(sm, evidence) {
    var weights = joint(sm, evidence);
    var total = totalOf(sm, weights);
    var result = {};
    sm.hypotheses.forEach(function (name) {
      result[name] = total > 0.0 ? weights[name] / total : sm.prior[name];
    });
    return result;
  }

  // ---- findings that do not go together ----

  function probability(sm, base, factors, skip) {
    var total = 0.0;
    sm.hypotheses.forEach(function (name, position) {
      var product = base[name];
      factors.forEach(function (factor, index) {
        if (index !== skip) { product *= factor[position]; }
      });
      total += product;
    });
    return total;
  }

  function leastFitting(sm, base, found, factors, together, alone, whole) {
    var least = null;
    var lowest = Infinity;
    found.forEach(function (one, index) {
      var without = probability(sm, base, factors, index) / whole;
      var fit = Math.log(together) - Math.log(without) - Math.log(alone[index]);
      if (fit < lowest - TIE) { least = one.check.id; lowest = fit; }
    });
    return least;
  }

  // {score, gid} when the findings contradict each other, else null.
  function conflict(sm, evidence) {
    var base = context(sm, evidence);
    var found = findings(sm, evidence);
    var whole = totalOf(sm, base);
    if (found.length < 2 || whole <= 0.0) { return null; }
    var factors = found.map(function (one) {
      return sm.hypotheses.map(function (name) { return weigh(one.weighted, row(one.check, name)); });
    });
    var together = probability(sm, base, factors, -1) / whole;
    if (together <= 0.0) { return null; }
    var alone = factors.map(function (factor) { return probability(sm, base, [factor], -1) / whole; });
    var score = -Math.log(together);
    alone.forEach(function (share) { score += Math.log(share); });
    if (!(score > Math.log(sm.constants.conflict_ratio))) { return null; }
    return { score: score, gid: leastFitting(sm, base, found, factors, together, alone, whole) };
  }

  // P(answer | both faults): each may spoil the clear answer, the others share the rest. Filled into `into`.
  function fillPairRow(one, two, base, clear, into) {
    var count = one.length;
    var sound = Math.min(one[clear], two[clear]);
    if (base[clear] > 0.0) { sound = Math.min(sound, (one[clear] * two[clear]) / base[clear]); }
    var weight = 0.0;
    for (var i = 0; i < count; i += 1) {
      if (i !== clear) { weight += one[i] + two[i]; }
    }
    var rest = 1.0 - sound;
    for (var n = 0; n < count; n += 1) {
      into[n] = weight > 0.0 ? (rest * (one[n] + two[n])) / weight : rest / (count - 1);
    }
    into[clear] = sound;
    return into;
  }

  // The findings with the rows of each fault at hand, as there are many pairs.
  function byFault(found, faults) {
    return found.map(function (one) {
      var rows = faults.map(function (name) { return row(one.check, name); });
      var clear = one.check.answers.indexOf(one.check.clear);
      return { weighted: one.weighted, rows: rows, base: row(one.check, "*"), clear: clear, both: rows[0].slice() };
    });
  }

  function pairLikelihood(known, failed, faults, i, j) {
    var product = 1.0;
    for (var f = 0; f < failed.length; f += 1) { // the unit goes on failing when either fault outlasts the remedy
      product *= Math.max(survives(failed[f], faults[i]), survives(failed[f], faults[j])) * (1.0 - failed[f].misses);
    }
    for (var n = 0; n < known.length; n += 1) {
      var one = known[n];
      product *= weigh(one.weighted, fillPairRow(one.rows[i], one.rows[j], one.base, one.clear, one.both));
    }
    return product;
  }

  // {ratio, pair} when two faults explain the findings better than any one, else null.
  function twoFaults(sm, evidence) {
    var single = totalOf(sm, joint(sm, evidence));
    var weights = replacedWeights(sm, evidence);
    var faults = sm.hypotheses.filter(function (name) { return name !== NORMAL && name !== OTHER; });
    var known = faults.length ? byFault(findings(sm, evidence), faults) : [];
    var failed = failedRemedies(sm, evidence);
    var total = 0.0;
    var best = 0.0;
    var pair = null;
    for (var i = 0; i < faults.length; i += 1) {
      for (var j = i + 1; j < faults.length; j += 1) {
        var value = weights[faults[i]] * weights[faults[j]] * pairLikelihood(known, failed, faults, i, j);
        total += value;
        if (value > best * (1.0 + TIE)) { best = value; pair = [faults[i], faults[j]]; }
      }
    }
    total *= sm.constants.two_faults;
    return pair === null || single <= 0.0 || total <= single ? null : { ratio: total / single, pair: pair };
  }

  Sparkgap.belief = {
    specialise: specialise,
    belief: belief,
    joint: joint,
    conflict: conflict,
    twoFaults: twoFaults,
    row: row,
    survives: survives,
    failedRemedies: failedRemedies
  };
})();
