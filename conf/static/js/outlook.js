// What is left of a job: the minutes at the unit for each likely cause, and what to load for it. The same steps
// as sparkgap/diagnosis/outlook.py, held together by tests/diagnosis/test_outlook.py. Pure functions; no DOM.
// Needs belief.js and plan.js.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  var LEAST = 0.01;
  var LONGEST = 80;
  var LOW = 0.1;
  var HIGH = 0.9;

  // A state on a course with the act ranked first there and the steps that follow: courses share their beginnings.
  function Step(space, state) {
    this.space = space;
    this.state = state;
    this.known = null;
    this.following = [];
  }

  Step.prototype.first = function () {
    if (!this.known) { this.known = Sparkgap.plan.options(this.space, this.state, 1)[0]; }
    return this.known;
  };

  // The step after an outcome of the first act; null when that cannot be.
  Step.prototype.after = function (place) {
    if (this.following[place] === undefined) {
      var first = this.first();
      var state = first.kind === "remedy" ? first.after : first.outcomes[place].state;
      var total = Sparkgap.plan.totalOf(state.mass);
      this.following[place] = total > 0.0 ? new Step(this.space, Object.assign({}, state, {
        mass: state.mass.map(function (value) { return value / total; })
      })) : null;
    }
    return this.following[place];
  };

  // The place of the outcome that the cause gives most often; the clear answer when it is one of several.
  function likeliest(option, cause) {
    if (option.outcomes.length === 1) { return 0; }
    var like = option.act.like;
    var best = option.act.clear;
    for (var answer = 0; answer < like.length; answer += 1) {
      if (like[answer][cause] > like[best][cause]) { best = answer; }
    }
    return best;
  }

  // The course that the job takes if this cause is there; see outlook.py.
  function course(step, cause) {
    var told = { minutes: 0.0, wait: 0.0, acts: [], end: "call" };
    for (var n = 0; n < LONGEST; n += 1) {
      var next = step.first();
      var place = 0;
      if (Sparkgap.plan.isStop(next)) {
        told.end = next.kind;
        break;
      }
      told.acts.push([next.kind, next.id]);
      if (next.kind === "remedy") {
        told.minutes += next.cost - next.act.data.part_minutes;
        told.wait += next.act.data.wait_minutes;
        if (next.act.ends.indexOf(cause) >= 0) {
          told.end = "proved";
          told.minutes += next.after.site.close;
          return told;
        }
      } else {
        told.minutes += next.cost;
        place = likeliest(next, cause);
      }
      var following = step.after(place);
      if (!following) { break; }
      step = following;
    }
    told.minutes += step.state.site.close;
    return told;
  }

  function minutesOf(courses, shares) {
    var proved = Object.keys(courses).filter(function (name) { return courses[name].end === "proved"; })
      .sort(function (a, b) { return courses[a].minutes - courses[b].minutes || (a < b ? -1 : 1); });
    var share = 0.0;
    var total = 0.0;
    proved.forEach(function (name) {
      share += shares[name];
      total += shares[name] * courses[name].minutes;
    });
    if (!(share > 0.0)) { return { minutes: null, low: null, high: null, share: 0.0 }; }
    var low = null;
    var high = courses[proved[proved.length - 1]].minutes;
    var reached = 0.0;
    for (var n = 0; n < proved.length; n += 1) {
      reached += shares[proved[n]];
      if (low === null && reached >= LOW * share) { low = courses[proved[n]].minutes; }
      if (reached >= HIGH * share) {
        high = courses[proved[n]].minutes;
        break;
      }
    }
    return { minutes: total / share, low: low, high: high, share: share };
  }

  // What the courses use, likeliest first, with the share of the followed causes that use it.
  function used(courses, shares, acts, of) {
    var total = 0.0;
    var found = {};
    Object.keys(courses).sort().forEach(function (name) {
      total += shares[name];
      var things = new Set();
      courses[name].acts.forEach(function (act) { of(acts[act[1]]).forEach(function (thing) { things.add(thing); }); });
      Array.from(things).sort().forEach(function (thing) { found[thing] = (found[thing] || 0.0) + shares[name]; });
    });
    function rounded(thing) { return Math.round(found[thing] * 1e9); }
    return Object.keys(found).sort(function (a, b) { return rounded(b) - rounded(a) || (a < b ? -1 : 1); })
      .map(function (thing) { return { id: thing, p: found[thing] / total }; });
  }

  function then(root) {
    var next = root.first();
    if (next.kind !== "check") { return {}; }
    var answers = {};
    next.outcomes.forEach(function (outcome, place) {
      var step = root.after(place);
      if (!step) { return; }
      answers[next.act.data.answers[outcome.answer]] = { kind: step.first().kind, id: step.first().id };
    });
    return { check: next.id, answers: answers };
  }

  function outlook(sm, evidence) {
    var space = new Sparkgap.plan.Space(sm, evidence);
    var root = new Step(space, space.start(evidence));
    var shares = Sparkgap.belief.belief(sm, evidence);
    var courses = {};
    sm.hypotheses.forEach(function (name, n) {
      if (name === "normal" || name === "other" || !(shares[name] >= LEAST)) { return; }
      courses[name] = course(root, n);
    });
    var acts = {};
    sm.checks.concat(sm.remedies).forEach(function (act) { acts[act.id] = act; });
    return Object.assign(minutesOf(courses, shares), {
      courses: courses,
      tools: used(courses, shares, acts, function (act) { return act.tools || []; }),
      parts: used(courses, shares, acts, function (act) { return act.part ? [act.part] : []; }),
      then: then(root),
      ask_first: sm.ask_first
    });
  }

  Sparkgap.outlook = outlook;
})();
