// What the ways of working cost on one symptom, from sampled answers to the free questions on: see tests/proof/plan.py.
// Needs belief.js, plan.js and solver.js.
(function () {
  "use strict";
  var Sparkgap = globalThis.Sparkgap;
  var Plan = Sparkgap.plan;
  var RARE = 1e-3; // branches less probable than this are walked looking one step ahead only
  var SMALL = 1e-4; // and those less probable than this are bounded, not walked
  var REDUCED = [[12, 14], [8, 12], [6, 10], [5, 8]]; // faults and checks of the reduced models, largest first

  function totalOf(mass) {
    return mass.reduce(function (total, value) { return total + value; }, 0.0);
  }

  function evened(state) {
    var total = totalOf(state.mass);
    return Object.assign({}, state, { mass: state.mass.map(function (value) { return value / total; }) });
  }

  // Numbers from 0 to 1, the same for the same seed (the generator that Press et al. call quick and dirty).
  function generator(seed) {
    var at = seed >>> 0;
    return function () {
      at = (Math.imul(at, 1664525) + 1013904223) >>> 0;
      return at / 4294967296;
    };
  }

  // Answers the free and the must-come-first looks at random, as they would come out; the minutes that they take.
  function sampled(space, state, random) {
    var minutes = 0.0;
    for (;;) {
      var stuck = space.stuck(state); // then its check is made again, whatever it takes
      var open = space.allowedChecks(state).filter(function (check) {
        return stuck || check.tier === 0 && (check.free || check.first) && !state.done[check.index];
      });
      if (!open.length) { return { state: state, minutes: minutes }; }
      var after = space.afterCheck(state, open[0]);
      minutes += after.cost;
      state = evened(after.outcomes[drawn(after.outcomes, random())].state);
    }
  }

  function drawn(outcomes, at) {
    for (var n = 0; n < outcomes.length - 1; n += 1) {
      at -= totalOf(outcomes[n].state.mass);
      if (at < 0.0) { return n; }
    }
    return outcomes.length - 1;
  }

  // Minutes times mass, [at the least, at the most], when the first act of the plan is done at every step.
  function followed(space, state) {
    var total = totalOf(state.mass);
    if (!(total > 0.0)) { return [0.0, 0.0]; }
    if (total < SMALL) { return [Math.min(space.least(state.mass, state.site), Plan.estimate(space, state)), Plan.estimate(space, state)]; }
    var even = evened(state);
    var best = Plan.options(space, even, total < RARE ? 1 : Math.max(1, Plan.depthOf(space, even)))[0];
    var sum;
    if (best.kind === "check") {
      var after = space.afterCheck(state, best.act);
      sum = [total * after.cost, total * after.cost];
      after.outcomes.forEach(function (outcome) { add(sum, followed(space, outcome.state)); });
      return sum;
    }
    if (best.kind === "remedy") {
      var repaired = space.afterRemedy(state, best.act);
      sum = [repaired.value, repaired.value];
      add(sum, followed(space, repaired.state));
      return sum;
    }
    return [best.value * total, best.value * total];
  }

  function add(sum, more) {
    sum[0] += more[0];
    sum[1] += more[1];
  }

  // The checks in a fixed order up to the first that does not come out clear, then the remedies in their best order.
  function inPageOrder(space, state, place) {
    var next = null;
    space.allowedChecks(state).forEach(function (check) {
      if (check.id in place && (!next || place[check.id] < place[next.id])) { next = check; }
    });
    if (!next) { return Plan.estimate(space, state); }
    var after = space.afterCheck(state, next);
    var worth = totalOf(state.mass) * after.cost;
    after.outcomes.forEach(function (outcome) {
      var on = outcome.answer === next.clear;
      worth += on ? inPageOrder(space, outcome.state, place) : Plan.estimate(space, outcome.state);
    });
    return worth;
  }

  // How much a check tells of the faults kept, in nats a minute.
  function informs(check, mass) {
    var gain = 0.0;
    check.like.forEach(function (row) {
      var p = row.reduce(function (total, value, h) { return total + value * mass[h]; }, 0.0);
      row.forEach(function (value, h) { if (value * mass[h] > 0.0) { gain += mass[h] * value * Math.log(value / p); } });
    });
    return gain / Math.max(1.0, check.minutes);
  }

  // The symptom as it stands, with its likeliest faults and most telling checks only.
  function reduced(space, state, faults, checks) {
    var names = space.hypotheses.filter(function (name) { return name !== "normal" && name !== "other"; });
    var weight = {};
    space.hypotheses.forEach(function (name, h) { weight[name] = state.mass[h]; });
    names = names.sort(function (a, b) { return weight[b] - weight[a] || (a < b ? -1 : 1); }).slice(0, faults);
    var kept = space.hypotheses.filter(function (name) {
      return name === "normal" || name === "other" || names.indexOf(name) >= 0;
    });
    var mass = space.hypotheses.map(function (name, h) { return kept.indexOf(name) >= 0 ? state.mass[h] : 0.0; });
    var total = totalOf(mass);
    mass = mass.map(function (value) { return value / total; });
    var telling = space.checks.filter(function (check) { return !state.done[check.index]; })
      .map(function (check) { return { check: check, gain: informs(check, mass) }; })
      .sort(function (a, b) { return b.gain - a.gain || (a.check.id < b.check.id ? -1 : 1); })
      .slice(0, checks).map(function (one) { return one.check.id; });
    var prior = {};
    kept.forEach(function (name) { prior[name] = mass[space.hypotheses.indexOf(name)]; });
    return Object.assign({}, space.sm, {
      hypotheses: kept,
      prior: prior,
      checks: space.sm.checks.filter(function (check) { return telling.indexOf(check.id) >= 0; }),
      remedies: space.sm.remedies.map(function (remedy) {
        return Object.assign({}, remedy, { ends: remedy.ends.filter(function (name) { return kept.indexOf(name) >= 0; }) });
      }).filter(function (remedy) { return remedy.ends.length; })
    });
  }

  // Sizes of the groups that bound from below; few hypotheses are searched faster without.
  function levelsFor(space) {
    return space.hypotheses.length > 8 ? [4, 8] : [];
  }

  // {plan: [lo, hi], optimum: [lo, hi]} of the largest reduced model that is solved to the accuracy, else the last.
  function onReduced(space, state, who, seconds, within) {
    var told = null;
    for (var n = 0; n < REDUCED.length; n += 1) {
      var sm = reduced(space, state, REDUCED[n][0], REDUCED[n][1]);
      var small = new Plan.Space(sm, { who: who });
      var at = small.start({ who: who });
      var bounds = Sparkgap.proof.solve(small, at, seconds, within, levelsFor(small), 4);
      told = { faults: small.hypotheses.length - 2, checks: small.checks.length, optimum: [bounds.lo, bounds.hi] };
      if (bounds.hi - bounds.lo <= within * bounds.hi) {
        break;
      }
    }
    told.plan = followed(small, at);
    told.optimum[1] = Math.min(told.optimum[1], told.plan[1]);
    return told;
  }

  // One sample: what each way of working costs after the free questions, in minutes.
  function sample(sm, who, place, options) {
    var evidence = { who: who };
    var space = new Plan.Space(sm, evidence);
    var asked = sampled(space, space.start(evidence), generator(options.seed));
    var state = asked.state;
    var bounds = Sparkgap.proof.solve(space, state, options.seconds, options.within, levelsFor(space), 4);
    var plan = followed(space, state);
    var told = {
      asked: asked.minutes,
      optimum: [bounds.lo, Math.min(bounds.hi, plan[1])], // the plan is a way of working, too
      nodes: bounds.nodes,
      plan: plan,
      repairs: Plan.estimate(space, state),
      page: inPageOrder(space, state, place),
      reduced: null
    };
    if (told.optimum[1] - told.optimum[0] > options.within * told.optimum[1]) {
      told.reduced = onReduced(space, state, who, options.seconds / 4, 2.0 * options.within);
    }
    return told;
  }

  Object.assign(Sparkgap.proof, { sample: sample, followed: followed });
})();
