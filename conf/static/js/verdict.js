// A reading against its limits, with what the meter can be trusted for. The same steps as sparkgap/verdict.py,
// held together by tests/vectors/verdict.json. All values are SI magnitudes. No DOM.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  var CONFORMITY = 0.95;
  var SQRT_PI = 1.7724538509055159;
  var SQRT_2 = 1.4142135623730951;
  var SERIES_UP_TO = 3.0;
  var RANGE_SLACK = 1e-9; // of the end of a range: what a change of unit may add
  var FRACTION_LEVELS = 80;

  function erfSeries(x) {
    var square = x * x;
    var term = x;
    var total = x;
    var n = 0;
    while (term > total * 1e-17) {
      n += 1;
      term = (term * 2.0 * square) / (2.0 * n + 1.0);
      total += term;
    }
    return (2.0 / SQRT_PI) * Math.exp(-square) * total;
  }

  function erfcFraction(x) {
    var inner = x;
    for (var level = FRACTION_LEVELS; level > 0; level -= 1) {
      inner = x + (0.5 * level) / inner;
    }
    return Math.exp(-x * x) / (SQRT_PI * inner);
  }

  // The complementary error function: a series of positive terms up to 3, a continued fraction from there.
  function erfc(x) {
    var size = Math.abs(x);
    var tail;
    if (size < SERIES_UP_TO) {
      tail = 1.0 - erfSeries(size);
    } else if (size > 27.0) {
      tail = 0.0;
    } else {
      tail = erfcFraction(size);
    }
    return x >= 0 ? tail : 2.0 - tail;
  }

  function normalBelow(z) {
    return 0.5 * erfc(-z / SQRT_2);
  }

  // instrument: {resolution, low, high, accuracy: {fixed, percent, digits}} in SI, or null for an exact value.
  function standardUncertainty(reading, instrument) {
    var tool = instrument || {};
    var accuracy = tool.accuracy || {};
    var resolution = tool.resolution || 0.0;
    var bound =
      (accuracy.fixed || 0.0) +
      ((accuracy.percent || 0.0) / 100.0) * Math.abs(reading) +
      (accuracy.digits || 0.0) * resolution;
    var half = resolution / 2.0;
    return Math.sqrt((bound * bound + half * half) / 3.0);
  }

  function isOpen(limit) {
    return limit === null || limit === undefined;
  }

  function finite(value) {
    if (typeof value !== "number" || !isFinite(value)) {
      throw new Error("a reading must be a finite number");
    }
  }

  // On which side a reading lies outside of what an instrument can show: "below", "above", or "" for neither.
  function beyond(reading, instrument) {
    var tool = instrument || {};
    if (!isOpen(tool.low) && reading < tool.low - RANGE_SLACK * Math.abs(tool.low)) { return "below"; }
    if (!isOpen(tool.high) && reading > tool.high + RANGE_SLACK * Math.abs(tool.high)) { return "above"; }
    return "";
  }

  function shown(reading, instrument) {
    finite(reading);
    var side = beyond(reading, instrument);
    if (side) { throw new Error("the reading lies " + side + " what this instrument can show"); }
  }

  function outside(value, u, low, high) {
    if (u === 0.0) {
      return [!isOpen(low) && value < low ? 1.0 : 0.0, !isOpen(high) && value > high ? 1.0 : 0.0];
    }
    return [
      isOpen(low) ? 0.0 : normalBelow((low - value) / u),
      isOpen(high) ? 0.0 : normalBelow((value - high) / u)
    ];
  }

  function band(value, u, low, high, options) {
    var wanted = options || {};
    var conformity = isOpen(wanted.conformity) ? CONFORMITY : wanted.conformity;
    if (!isOpen(low) && !isOpen(high) && low > high) {
      throw new Error("the lower limit lies above the upper limit");
    }
    var tails = outside(value, u, low, high);
    var within = Math.max(0.0, 1.0 - tails[0] - tails[1]);
    var verdict = "too-close";
    if (tails[0] >= conformity) { verdict = "below"; }
    if (within >= conformity) { verdict = "within"; }
    if (tails[1] >= conformity) { verdict = "above"; }
    return {
      v_below: tails[0],
      v_within: within,
      v_above: tails[1],
      verdict: verdict,
      held: Boolean(wanted.safety) && verdict !== "within",
      on_memory: wanted.source_kind === "memory" && verdict === "within",
      uncertainty: u,
      value: value
    };
  }

  // options: {safety, source_kind, conformity}, all optional.
  function judge(reading, instrument, low, high, options) {
    shown(reading, instrument);
    return band(reading, standardUncertainty(reading, instrument), low, high, options);
  }

  // readings: {name: {value, instrument}}; f takes {name: value} and gives a number.
  function judgeExpression(f, readings, low, high, options) {
    var names = Object.keys(readings).sort();
    var values = {};
    names.forEach(function (name) {
      shown(readings[name].value, readings[name].instrument);
      values[name] = readings[name].value;
    });
    var centre = f(Object.assign({}, values));
    finite(centre);
    var total = 0.0;
    names.forEach(function (name) {
      var step = standardUncertainty(values[name], readings[name].instrument);
      if (step === 0.0) { return; }
      var up = Object.assign({}, values);
      var down = Object.assign({}, values);
      up[name] = values[name] + step;
      down[name] = values[name] - step;
      var half = (f(up) - f(down)) / 2.0;
      total += half * half;
    });
    return band(centre, Math.sqrt(total), low, high, options);
  }

  // The ids of the instruments that can show this reading and would not call it too close.
  function settles(reading, instruments, low, high, options) {
    return Object.keys(instruments).sort().filter(function (id) {
      return !beyond(reading, instruments[id]) &&
        judge(reading, instruments[id], low, high, options).verdict !== "too-close";
    });
  }

  function evidence(judgement) {
    return { below: judgement.v_below, within: judgement.v_within, above: judgement.v_above };
  }

  Sparkgap.verdict = {
    erfc: erfc,
    normalBelow: normalBelow,
    standardUncertainty: standardUncertainty,
    beyond: beyond,
    judge: judge,
    judgeExpression: judgeExpression,
    settles: settles,
    evidence: evidence
  };
})();
