// What to do next, in expected minutes to a unit proved working. The same steps in the same order as
// sparkgap/diagnosis/access.py, space.py and plan.py, held together by tests/vectors/diagnosis.json.
// Pure functions over plain data; no DOM. Needs belief.js.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  var TIE = 1e-9;
  var NO_GAIN = 1e-12;
  var FREE_OF_COST = 1e-9;
  var NO_PLACE = 1e9;

  function totalOf(mass) {
    var total = 0.0;
    for (var i = 0; i < mass.length; i += 1) { total += mass[i]; }
    return total;
  }

  // A copy by slice stays a list of doubles, which is several times faster than filling a new one.
  function times(mass, factors) {
    var product = mass.slice();
    for (var i = 0; i < product.length; i += 1) { product[i] *= factors[i]; }
    return product;
  }

  function scaled(mass, factor) {
    var product = mass.slice();
    for (var i = 0; i < product.length; i += 1) { product[i] *= factor; }
    return product;
  }

  function has(object, name) {
    return Object.prototype.hasOwnProperty.call(object, name);
  }

  function able(act, who) {
    return act.who.every(function (need) { return need === "owner" || who.indexOf(need) >= 0; });
  }

  // ---- what stands open ----

  // For each access the ones it lies inside of: as stated, and read off the chains (outermost first).
  function insideOf(sm) {
    var outer = {};
    Object.keys(sm.access).forEach(function (name) {
      outer[name] = new Set();
      var around = sm.access[name].inside;
      while (around && has(sm.access, around) && !outer[name].has(around)) {
        outer[name].add(around);
        around = sm.access[around].inside;
      }
    });
    function read(chain) {
      chain.forEach(function (name, position) {
        chain.slice(0, position).forEach(function (before) { outer[name].add(before); });
      });
    }
    sm.checks.forEach(function (check) { read(check.access); });
    sm.remedies.forEach(function (remedy) {
      read(remedy.access);
      read(remedy.proof_access || []);
    });
    return outer;
  }

  // Sites are sets of open accesses; equal sets are one object, which remembers what each act costs there.
  function Accesses(sm) {
    this.minutes = sm.access;
    this.inside = insideOf(sm);
    this.sites = new Map();
  }

  Accesses.prototype.site = function (opened) {
    var minutes = this.minutes;
    var names = Array.from(new Set(opened)).filter(function (name) { return has(minutes, name); }).sort();
    var key = names.join(" ");
    if (!this.sites.has(key)) {
      var close = 0.0;
      names.forEach(function (name) { close += minutes[name].close; });
      this.sites.set(key, { open: names, close: close, checks: [], remedies: [], floor: null });
    }
    return this.sites.get(key);
  };

  // Minutes to close some accesses with all inside them and then open a chain, and where that leads.
  Accesses.prototype.move = function (site, closes, chain) {
    var self = this;
    var closed = site.open.filter(function (name) {
      return closes.some(function (other) { return other === name || self.inside[name].has(other); });
    });
    var cost = 0.0;
    closed.forEach(function (name) { cost += self.minutes[name].close; });
    var left = site.open.filter(function (name) { return closed.indexOf(name) < 0; });
    chain.forEach(function (name) {
      if (left.indexOf(name) < 0) {
        cost += self.minutes[name].open;
        left.push(name);
      }
    });
    return { cost: cost, site: this.site(left) };
  };

  // ---- acts and states ----

  function checkAct(data, index, hypotheses) {
    var rows = hypotheses.map(function (name) { return Sparkgap.belief.row(data, name); });
    var within = data.answers.indexOf("within");
    return {
      id: data.id,
      index: index,
      tier: data.tier,
      minutes: data.minutes,
      first: Boolean(data.first),
      place: typeof data.place === "number" ? data.place : NO_PLACE,
      free: Boolean(data.free),
      like: data.answers.map(function (answer, n) { return rows.map(function (row) { return row[n]; }); }),
      clear: data.answers.indexOf(data.clear),
      order: clearFirst(data.answers.length, data.answers.indexOf(data.clear)),
      blocks: data.answers.map(function (answer) { return (data.blocks || []).indexOf(answer) >= 0; }),
      within: !data.safety ? -1 : within >= 0 ? within : data.answers.indexOf(data.clear),
      data: data
    };
  }

  function clearFirst(count, clear) {
    var order = [clear];
    for (var n = 0; n < count; n += 1) { if (n !== clear) { order.push(n); } }
    return order;
  }

  function remedyAct(data, index, hypotheses) {
    return {
      id: data.id,
      index: index,
      tier: data.tier,
      minutes: data.minutes,
      work: data.minutes + data.part_minutes + data.proof_minutes,
      fails: data.fails,
      misses: data.misses,
      ends: hypotheses.map(function (name, n) { return data.ends.indexOf(name) >= 0 ? n : -1; })
        .filter(function (n) { return n >= 0; }),
      q: hypotheses.map(function (name) { return Sparkgap.belief.survives(data, name); }),
      data: data
    };
  }

  function byRank(a, b) {
    return a.tier - b.tier || a.minutes - b.minutes || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);
  }

  function Space(sm, evidence) {
    var who = evidence.who || [];
    var aside = evidence.aside || [];
    this.sm = sm;
    this.constants = sm.constants;
    this.call = sm.constants.call_minutes;
    this.back = sm.constants.back_minutes;
    this.hypotheses = sm.hypotheses;
    this.normal = sm.hypotheses.indexOf("normal");
    this.accesses = new Accesses(sm);
    this.all = sm.checks.map(function (check, n) { return checkAct(check, n, sm.hypotheses); });
    this.able = this.all.map(function (check) { return able(check.data, who) && aside.indexOf(check.id) < 0; });
    var can = this.able;
    this.checks = this.all.filter(function (check) { return can[check.index]; });
    this.remedies = sm.remedies.map(function (remedy, n) { return remedyAct(remedy, n, sm.hypotheses); })
      .filter(function (remedy) { return able(remedy.data, who) && aside.indexOf(remedy.id) < 0; });
    this.ranked = this.remedies.slice().sort(byRank);
    this.endless = sm.hypotheses.map(this.isEndless, this);
    this.scratch = {
      ratios: [], ordered: [], stops: [], steps: [],
      left: new Float64Array(sm.hypotheses.length), leaf: new Float64Array(sm.hypotheses.length)
    };
    this.lately = -1; // the check that was best in the state looked at before: tried first, which prunes more
  }

  // Whether it is a fault that none of the remedies ends.
  Space.prototype.isEndless = function (name, n) {
    return n !== this.normal && this.remedies.every(function (remedy) { return remedy.ends.indexOf(n) < 0; });
  };

  // Minutes from a site to the end at the least if this hypothesis is true, however well it is played: what is
  // open gets closed, and a remedy that ends it is made, or a stop.
  Space.prototype.floorOf = function (site, n) {
    if (n === this.normal) { return site.close; }
    var least = Math.min(this.call, this.back) + site.close;
    for (var i = 0; i < this.remedies.length; i += 1) {
      if (this.remedies[i].ends.indexOf(n) < 0) { continue; }
      var step = this.remedyCost(site, this.remedies[i]);
      least = Math.min(least, step.cost + step.site.close);
    }
    return least;
  };

  // A lower bound of minutes times mass from a site to the end.
  Space.prototype.least = function (mass, site) {
    var floor = site.floor;
    if (!floor) {
      floor = site.floor = new Float64Array(this.hypotheses.length);
      for (var n = 0; n < floor.length; n += 1) { floor[n] = this.floorOf(site, n); }
    }
    var bound = 0.0;
    for (var i = 0; i < floor.length; i += 1) { bound += mass[i] * floor[i]; }
    return bound;
  };

  function weightOf(weights, answer) {
    return has(weights, answer) ? weights[answer] : 0.0;
  }

  Space.prototype.unsure = function (check, weights) {
    if (check.within < 0) { return false; }
    return weightOf(weights, check.data.answers[check.within]) < this.constants.conformity;
  };

  Space.prototype.blocksWith = function (check, weights) {
    if (!check.first) { return false; }
    var share = 0.0;
    check.data.answers.forEach(function (answer, n) {
      if (check.blocks[n]) { share += weightOf(weights, answer); }
    });
    return share >= 0.5 || (share > 0.0 && this.unsure(check, weights));
  };

  // A state's mass is the unnormalised weight of each hypothesis; values are minutes times total mass.
  Space.prototype.start = function (evidence) {
    var sm = this.sm;
    var self = this;
    var weights = Sparkgap.belief.joint(sm, evidence);
    var mass = this.hypotheses.map(function (name) { return weights[name]; });
    var total = totalOf(mass);
    mass = mass.map(function (value, n) { return total > 0.0 ? value / total : sm.prior[sm.hypotheses[n]]; });
    var results = evidence.results || {};
    var state = {
      mass: mass,
      site: this.accesses.site(evidence.open || []),
      done: new Array(sm.checks.length).fill(0),
      blocked: new Array(sm.checks.length).fill(0),
      tried: new Array(sm.remedies.length).fill(0),
      unsafe: false
    };
    this.all.forEach(function (check) {
      var result = has(results, check.id) ? results[check.id] : null;
      if (!result) { return; }
      if (!check.data.answers.some(function (answer) { return weightOf(result.v, answer) > 0.0; })) { return; }
      state.done[check.index] = 1;
      state.blocked[check.index] = self.blocksWith(check, result.v) ? 1 : 0;
      state.unsafe = state.unsafe || self.unsure(check, result.v);
    });
    var failed = Sparkgap.belief.failedRemedies(sm, evidence).map(function (remedy) { return remedy.id; });
    this.remedies.forEach(function (remedy) {
      if (failed.indexOf(remedy.id) >= 0) { state.tried[remedy.index] = 1; }
    });
    return state;
  };

  function changed(state, changes) {
    return {
      mass: changes.mass || state.mass,
      site: changes.site || state.site,
      done: changes.done || state.done,
      blocked: changes.blocked || state.blocked,
      tried: changes.tried || state.tried,
      unsafe: changes.unsafe === undefined ? state.unsafe : changes.unsafe
    };
  }

  function withBit(bits, index, value) {
    var copy = bits.slice();
    copy[index] = value;
    return copy;
  }

  Space.prototype.pendingFree = function (state) {
    return this.checks.filter(function (check) { return check.free && !state.done[check.index]; });
  };

  Space.prototype.pendingFirst = function (state) {
    return this.all.filter(function (check) {
      return (check.first && !state.done[check.index]) || state.blocked[check.index];
    });
  };

  Space.prototype.waitsForFree = function (state) {
    for (var i = 0; i < this.checks.length; i += 1) {
      if (this.checks[i].free && !state.done[this.checks[i].index]) { return true; }
    }
    return false;
  };

  Space.prototype.waitsForFirst = function (state) {
    for (var i = 0; i < this.all.length; i += 1) {
      if (state.blocked[i] || (this.all[i].first && !state.done[i])) { return true; }
    }
    return false;
  };

  // Whether a must-come-first check is open that this person cannot make: no repair can be reached.
  Space.prototype.barred = function (state) {
    for (var i = 0; i < this.all.length; i += 1) {
      if (!this.able[i] && (state.blocked[i] || (this.all[i].first && !state.done[i]))) { return true; }
    }
    return false;
  };

  // Whether the answer of a must-come-first check forbids going on.
  Space.prototype.stuck = function (state) {
    for (var i = 0; i < state.blocked.length; i += 1) { if (state.blocked[i]) { return true; } }
    return false;
  };

  // Whether stopping is a choice yet: not while a free or a must-come-first check can be made, unless stuck.
  Space.prototype.mayStop = function (state) {
    if (this.stuck(state)) { return true; }
    if (this.waitsForFree(state)) { return false; }
    if (this.barred(state)) { return true; }
    for (var i = 0; i < this.all.length; i += 1) {
      if (this.all[i].first && !state.done[i]) { return false; }
    }
    return true;
  };

  // Where an answer forbids going on, that check alone, made again once its cause is put right.
  Space.prototype.allowedChecks = function (state) {
    if (this.stuck(state)) { return this.checks.filter(function (check) { return state.blocked[check.index]; }); }
    var free = this.waitsForFree(state);
    var first = this.waitsForFirst(state);
    return this.checks.filter(function (check) {
      if (state.done[check.index]) { return false; }
      if (free && check.tier > 0) { return false; }
      return !(first && check.tier > 0 && !check.first);
    });
  };

  Space.prototype.allowedRemedies = function (state) {
    if (this.waitsForFree(state) || this.waitsForFirst(state)) { return []; }
    return this.remedies.filter(function (remedy) { return !state.tried[remedy.index]; });
  };

  Space.prototype.stopWith = function (unsafe, total, normal) {
    var call = total * this.call;
    return unsafe ? call : Math.min(call, (total - normal) * this.back);
  };

  Space.prototype.stops = function (state) {
    var total = totalOf(state.mass);
    var close = total * state.site.close;
    return {
      call: total * this.call + close,
      normal: state.unsafe ? null : (total - state.mass[this.normal]) * this.back + close
    };
  };

  Space.prototype.stop = function (state) {
    var total = totalOf(state.mass);
    return this.stopWith(state.unsafe, total, state.mass[this.normal]) + total * state.site.close;
  };

  Space.prototype.checkCost = function (site, check) {
    var known = site.checks[check.index];
    if (!known) {
      var move = this.accesses.move(site, check.data.closes, check.data.access);
      known = site.checks[check.index] = { cost: check.minutes + move.cost, site: move.site };
    }
    return known;
  };

  // A blocking check made again is taken to come out clear; what it told about the faults stays.
  Space.prototype.afterCheck = function (state, check) {
    var step = this.checkCost(state.site, check);
    if (state.blocked[check.index]) {
      var cleared = changed(state, { site: step.site, blocked: withBit(state.blocked, check.index, 0) });
      return { cost: step.cost, outcomes: [{ answer: check.clear, state: cleared }] };
    }
    var done = withBit(state.done, check.index, 1);
    var outcomes = check.like.map(function (like, answer) {
      var blocks = check.first && check.blocks[answer];
      return {
        answer: answer,
        state: changed(state, {
          mass: times(state.mass, like),
          site: step.site,
          done: done,
          blocked: blocks ? withBit(state.blocked, check.index, 1) : state.blocked,
          unsafe: state.unsafe || (check.within >= 0 && answer !== check.within)
        })
      };
    });
    return { cost: step.cost, outcomes: outcomes };
  };

  Space.prototype.remedyCost = function (site, remedy) {
    var known = site.remedies[remedy.index];
    if (!known) {
      var data = remedy.data;
      var there = this.accesses.move(site, data.closes || [], data.access);
      var proof = this.accesses.move(there.site, data.proof_closes || [], data.proof_access || []);
      known = { cost: remedy.work + there.cost + proof.cost, site: proof.site };
      site.remedies[remedy.index] = known;
    }
    return known;
  };

  Space.prototype.afterRemedy = function (state, remedy) {
    var step = this.remedyCost(state.site, remedy);
    var left = times(state.mass, remedy.q);
    var total = totalOf(state.mass);
    var standing = totalOf(left);
    var failed = (1.0 - remedy.misses) * standing;
    var value = total * step.cost + this.back * (remedy.misses * standing + state.mass[this.normal]);
    value += (total - failed) * step.site.close;
    return {
      cost: step.cost,
      value: value,
      state: changed(state, {
        mass: scaled(left, 1.0 - remedy.misses),
        site: step.site,
        tried: withBit(state.tried, remedy.index, 1)
      })
    };
  };

  // ---- value ----

  // What has to come before a repair: the minutes of the pending checks that can be made, and the site then.
  function gateOf(space, state) {
    var free = space.waitsForFree(state);
    var gate = { open: !free && !space.waitsForFirst(state), repair: true, mayStop: true, cost: 0.0, site: state.site };
    if (gate.open) { return gate; }
    var barred = space.barred(state);
    gate.mayStop = space.mayStop(state);
    gate.repair = !barred;
    gate.ends = barred && (!free || space.stuck(state)); // nothing but a stop is left
    pastPending(space, state, barred, gate);
    return gate;
  }

  function pastPending(space, state, barred, gate) {
    var free = space.pendingFree(state);
    var first = barred ? [] : space.pendingFirst(state);
    var later = first.filter(function (check) { return free.indexOf(check) < 0; });
    free.concat(later).forEach(function (check) {
      var step = space.checkCost(gate.site, check);
      gate.cost += step.cost;
      gate.site = step.site;
    });
  }

  // Puts the untried remedies with their gain over cost into the scratch lists, which are made once for speed,
  // in order of tier, minutes and id, and returns how many there are. `but` counts as tried, too.
  function ratiosOf(space, mass, tried, but, site, total) {
    var ratios = space.scratch.ratios;
    var ordered = space.scratch.ordered;
    var least = NO_GAIN * total;
    var count = 0;
    for (var n = 0; n < space.ranked.length; n += 1) {
      var remedy = space.ranked[n];
      if (tried[remedy.index] || remedy.index === but) { continue; }
      var ends = remedy.ends;
      var keeps = 1.0 - remedy.fails;
      var gain = 0.0;
      for (var i = 0; i < ends.length; i += 1) { gain += mass[ends[i]] * keeps; }
      if (!(gain >= least && gain > 0.0)) { continue; }
      var cost = (site.remedies[remedy.index] || space.remedyCost(site, remedy)).cost;
      ratios[count] = gain / (cost > FREE_OF_COST ? cost : FREE_OF_COST);
      ordered[count] = remedy;
      count += 1;
    }
    return count;
  }

  // Brings the next best to its place, the earlier one of equals, and leaves the order of the others as it is.
  function bringForward(scratch, place, count) {
    var ratios = scratch.ratios;
    var ordered = scratch.ordered;
    var best = place;
    for (var n = place + 1; n < count; n += 1) { if (ratios[n] > ratios[best]) { best = n; } }
    var ratio = ratios[best];
    var remedy = ordered[best];
    for (; best > place; best -= 1) {
      ratios[best] = ratios[best - 1];
      ordered[best] = ordered[best - 1];
    }
    ratios[place] = ratio;
    ordered[place] = remedy;
    return remedy;
  }

  // The remedies by descending gain over cost with the stops. It ends as soon as no later stop can be better: what
  // no remedy ends costs a stop in the end.
  function repairInOrder(space, mass, tried, but, unsafe, site, total) {
    var scratch = space.scratch;
    var left = scratch.left;
    for (var m = 0; m < left.length; m += 1) { left[m] = mass[m]; }
    var normal = left[space.normal];
    left[space.normal] = 0.0;
    var never = 0.0;
    for (var h = 0; h < left.length; h += 1) { if (space.endless[h]) { never += mass[h]; } }
    never *= Math.min(space.call, space.back);
    var standing = total - normal;
    var scale = 1.0;
    var spent = 0.0;
    var best = Infinity;
    var stops = scratch.stops;
    var steps = scratch.steps;
    var count = ratiosOf(space, mass, tried, but, site, total);
    var n = 0;
    var now;
    for (; n < count; n += 1) {
      var remedy = bringForward(scratch, n, count);
      var ends = remedy.ends;
      var ended = 0.0;
      for (var i = 0; i < ends.length; i += 1) {
        ended += left[ends[i]] * (1.0 - remedy.fails);
        left[ends[i]] *= remedy.fails;
      }
      now = scale * standing + normal;
      stops[n] = space.stopWith(unsafe, now, normal) + now * site.close;
      if (spent + stops[n] < best) { best = spent + stops[n]; }
      if (spent + scale * never > best) { break; }
      standing = Math.max(0.0, standing - ended);
      var through = scale * standing;
      var step = site.remedies[remedy.index] || space.remedyCost(site, remedy);
      site = step.site;
      var worth = now * step.cost + space.back * (remedy.misses * through + normal);
      scale *= 1.0 - remedy.misses;
      steps[n] = worth + (now - scale * standing) * site.close;
      spent += steps[n];
      normal = 0.0;
    }
    var value = Infinity;
    if (n === count) {
      now = scale * standing + normal;
      value = space.stopWith(unsafe, now, normal) + now * site.close;
    } else { steps[n] = Infinity; }
    for (var k = n < count ? n : count - 1; k >= 0; k -= 1) { value = Math.min(stops[k], steps[k] + value); }
    return value;
  }

  // Minutes times mass of the best order of remedies, after the checks that have to come before them.
  function estimateOf(space, mass, tried, but, unsafe, site, gate) {
    var total = totalOf(mass);
    var stop = space.stopWith(unsafe, total, mass[space.normal]) + total * site.close;
    if (gate.open) { return Math.min(stop, repairInOrder(space, mass, tried, but, unsafe, site, total)); }
    var best = gate.mayStop ? stop : Infinity;
    if (gate.ends) { return best; }
    var rest = gate.repair
      ? repairInOrder(space, mass, tried, but, unsafe, gate.site, total)
      : space.stopWith(unsafe, total, mass[space.normal]) + total * gate.site.close;
    return Math.min(best, total * gate.cost + rest);
  }

  function estimate(space, state) {
    return estimateOf(space, state.mass, state.tried, -1, state.unsafe, state.site, gateOf(space, state));
  }

  function expected(space, worth, outcomes, depth) {
    outcomes.forEach(function (outcome) { worth += value(space, outcome.state, depth); });
    return worth;
  }

  // As expected, but broken off once it cannot be less than best.
  function bounded(space, worth, outcomes, depth, best, least) {
    for (var i = 0; i < outcomes.length; i += 1) {
      var after = outcomes[i].state;
      least -= space.least(after.mass, after.site);
      worth += value(space, after, depth);
      if (worth + least >= best) { return best; }
    }
    return worth;
  }

  // An act is left out as soon as its cost and the lower bound of what follows reach the best so far.
  function value(space, state, depth) {
    if (depth === 0) { return estimate(space, state); }
    if (depth === 1) { return oneStep(space, state); }
    var best = space.mayStop(state) ? space.stop(state) : Infinity;
    space.allowedRemedies(state).forEach(function (remedy) {
      var after = space.afterRemedy(state, remedy);
      if (after.value + space.least(after.state.mass, after.state.site) < best) {
        best = Math.min(best, after.value + value(space, after.state, depth - 1));
      }
    });
    var total = totalOf(state.mass);
    space.allowedChecks(state).forEach(function (check) {
      var step = space.checkCost(state.site, check);
      var least = space.least(state.mass, step.site);
      if (total * step.cost + least < best) {
        var outcomes = space.afterCheck(state, check).outcomes;
        best = Math.min(best, bounded(space, total * step.cost, outcomes, depth - 1, best, least));
      }
    });
    return best;
  }

  // ---- one step ahead, where nearly all the time is spent: the same as value, without making the states ----

  function oneStep(space, state) {
    var gate = gateOf(space, state);
    var total = totalOf(state.mass);
    var best = gate.mayStop ? space.stop(state) : Infinity;
    if (gate.open) { best = bestRemedy(space, state, total, gate, best); }
    var checks = space.checks;
    var lately = space.lately;
    if (lately >= 0) { best = tryCheck(space, state, space.all[lately], total, gate, best); }
    for (var n = 0; n < checks.length; n += 1) {
      if (checks[n].index !== lately) { best = tryCheck(space, state, checks[n], total, gate, best); }
    }
    return best;
  }

  function bestRemedy(space, state, total, gate, best) {
    var count = ratiosOf(space, state.mass, state.tried, -1, state.site, total);
    var likely = count ? bringForward(space.scratch, 0, count) : null;
    if (likely) { best = tryRemedy(space, state, likely, total, gate, best); }
    for (var n = 0; n < space.remedies.length; n += 1) {
      var remedy = space.remedies[n];
      if (remedy !== likely && !state.tried[remedy.index]) { best = tryRemedy(space, state, remedy, total, gate, best); }
    }
    return best;
  }

  function tryRemedy(space, state, remedy, total, gate, best) {
    var step = state.site.remedies[remedy.index] || space.remedyCost(state.site, remedy);
    if (total * step.cost >= best) { return best; }
    var mass = state.mass;
    var left = space.scratch.leaf;
    var through = 1.0 - remedy.misses;
    var standing = 0.0;
    for (var i = 0; i < left.length; i += 1) {
      left[i] = mass[i] * remedy.q[i];
      standing += left[i];
    }
    var worth = total * step.cost + space.back * (remedy.misses * standing + mass[space.normal]);
    worth += (total - through * standing) * step.site.close;
    for (var k = 0; k < left.length; k += 1) { left[k] *= through; }
    if (!(worth + space.least(left, step.site) < best)) { return best; }
    var rest = estimateOf(space, left, state.tried, remedy.index, state.unsafe, step.site, gate);
    return worth + rest < best ? worth + rest : best;
  }

  function tryCheck(space, state, check, total, gate, best) {
    var blocked = state.blocked[check.index];
    if ((state.done[check.index] && !blocked) || !space.able[check.index]) { return best; }
    if (!gate.open && !allowed(space, state, check)) { return best; }
    var step = state.site.checks[check.index] || space.checkCost(state.site, check);
    var worth = total * step.cost;
    var least = space.least(state.mass, step.site);
    if (!(worth + least < best)) { return best; }
    if (!gate.open || check.first) {
      var outcomes = space.afterCheck(state, check).outcomes;
      worth = bounded(space, worth, outcomes, 0, best, least);
    } else {
      worth = leaves(space, state, check, step.site, gate, worth, best, least);
    }
    if (worth < best) {
      space.lately = check.index;
      return worth;
    }
    return best;
  }

  function allowed(space, state, check) {
    if (space.stuck(state)) { return Boolean(state.blocked[check.index]); }
    if (check.tier === 0) { return true; }
    return !space.waitsForFree(state) && (check.first || !space.waitsForFirst(state));
  }

  // The answers of a check in a state where nothing is pending; the clear one first, which mostly weighs most.
  function leaves(space, state, check, site, gate, worth, best, least) {
    var mass = state.mass;
    var leaf = space.scratch.leaf;
    for (var n = 0; n < check.order.length; n += 1) {
      var answer = check.order[n];
      var like = check.like[answer];
      for (var i = 0; i < leaf.length; i += 1) { leaf[i] = mass[i] * like[i]; }
      least -= space.least(leaf, site);
      var unsafe = state.unsafe || (check.within >= 0 && answer !== check.within);
      worth += estimateOf(space, leaf, state.tried, -1, unsafe, site, gate);
      if (worth + least >= best) { return best; }
    }
    return worth;
  }

  // How far to look ahead: as many of the stated steps as keep the search from growing too large.
  function depthOf(space, state) {
    var depth = Math.floor(space.constants.look_ahead);
    var answers = 0;
    space.checks.forEach(function (check) {
      if (!state.done[check.index]) { answers += check.like.length; }
    });
    var acts = space.hypotheses.length * (space.remedies.length + 1);
    while (depth > 1 && acts * Math.pow(answers, depth) > space.constants.look_ahead_limit) { depth -= 1; }
    return depth;
  }

  // ---- options ----

  function options(space, state, depth) {
    var total = totalOf(state.mass);
    var found = space.allowedChecks(state).map(function (check) {
      var after = space.afterCheck(state, check);
      return {
        kind: "check", id: check.id, act: check, cost: after.cost, tier: check.tier, minutes: check.minutes,
        outcomes: after.outcomes, value: expected(space, total * after.cost, after.outcomes, depth - 1)
      };
    });
    space.allowedRemedies(state).forEach(function (remedy) {
      var after = space.afterRemedy(state, remedy);
      found.push({
        kind: "remedy", id: remedy.id, act: remedy, cost: after.cost, tier: remedy.tier,
        minutes: remedy.minutes, after: after.state, value: after.value + value(space, after.state, depth - 1)
      });
    });
    var stops = space.stops(state);
    var call = space.call + state.site.close;
    found.push({ kind: "call", id: "call", value: stops.call, cost: call, tier: 9, minutes: 0.0 });
    if (stops.normal !== null) {
      found.push({
        kind: "normal", id: "normal", value: stops.normal, cost: stops.normal, tier: 9, minutes: 0.0
      });
    }
    return inTurn(space, state, rank(found));
  }

  function isStop(option) {
    return option.kind === "call" || option.kind === "normal";
  }

  // What must come first before all else, as its symptom lists it; stops last while a check is due.
  function inTurn(space, state, ranked) {
    var mayStop = space.mayStop(state);
    function turn(option) {
      if (option.kind === "check" && option.act.first && !state.done[option.act.index]) { return [0, option.act.place]; }
      return [isStop(option) && !mayStop ? 2 : 1, 0.0];
    }
    return ranked.map(function (option) { return { option: option, turn: turn(option) }; })
      .sort(function (a, b) { return a.turn[0] - b.turn[0] || a.turn[1] - b.turn[1]; })
      .map(function (one) { return one.option; });
  }

  // By value; among those within the tie tolerance of the best of them by tier, minutes, id; stops last.
  function rank(found) {
    var ordered = found.slice().sort(function (a, b) { return a.value - b.value; });
    var ranked = [];
    var start = 0;
    while (start < ordered.length) {
      var limit = ordered[start].value + TIE * Math.max(1.0, Math.abs(ordered[start].value));
      var end = start;
      while (end < ordered.length && ordered[end].value <= limit) { end += 1; }
      ranked = ranked.concat(ordered.slice(start, end).sort(byRank));
      start = end;
    }
    return ranked;
  }

  function answersOf(space, option) {
    var told = {};
    option.outcomes.forEach(function (outcome) {
      var mass = outcome.state.mass;
      var share = totalOf(mass);
      var lead = 0;
      mass.forEach(function (value, n) {
        if (value > mass[lead] * (1.0 + TIE)) { lead = n; }
      });
      told[option.act.data.answers[outcome.answer]] = {
        p: share,
        lead: space.hypotheses[lead],
        share: share > 0.0 ? mass[lead] / share : 0.0
      };
    });
    return told;
  }

  // How many faults the clear answer would bring to a tenth of their share or less.
  function clearsOf(space, state, option) {
    if (state.blocked[option.act.index]) { return 0; }
    var after = option.outcomes[option.act.clear].state.mass;
    var share = totalOf(after);
    return space.hypotheses.filter(function (name, n) {
      if (name === "normal" || name === "other") { return false; }
      return state.mass[n] > 0.0 && after[n] <= 0.1 * state.mass[n] * share;
    }).length;
  }

  function told(space, state, option) {
    var result = { kind: option.kind, id: option.id, value: option.value, cost: option.cost };
    result.tier = option.act ? option.tier : null;
    result.answers = {};
    result.clears = 0;
    if (option.kind === "check") {
      result.again = Boolean(state.blocked[option.act.index]);
      result.answers = answersOf(space, option);
      result.clears = clearsOf(space, state, option);
    } else if (option.kind === "remedy") {
      result.fixes = 0.0;
      option.act.ends.forEach(function (n) { result.fixes += state.mass[n] * (1.0 - option.act.fails); });
      result.clears = option.act.ends.length;
    }
    return result;
  }

  function needsQualified(sm, evidence) {
    var who = (evidence.who || []).concat(["owner"]);
    var results = evidence.results || {};
    var failed = evidence.failed || [];
    var list = [];
    function read(kind, acts) {
      acts.forEach(function (act) {
        var lacking = act.who.filter(function (need) { return who.indexOf(need) < 0; }).sort();
        if (lacking.length && !has(results, act.id) && failed.indexOf(act.id) < 0) {
          list.push({ kind: kind, id: act.id, needs: Array.from(new Set(lacking)) });
        }
      });
    }
    read("check", sm.checks);
    read("remedy", sm.remedies);
    return list;
  }

  function idOf(act) {
    return act.id;
  }

  function plan(sm, evidence) {
    var space = new Space(sm, evidence);
    var state = space.start(evidence);
    var depth = Math.max(1, depthOf(space, state));
    var ranked = options(space, state, depth);
    var mayStop = space.mayStop(state);
    var best = Infinity;
    ranked.forEach(function (option) {
      if (mayStop || !isStop(option)) { best = Math.min(best, option.value); }
    });
    return {
      value: best,
      next: ranked.map(function (option) { return told(space, state, option); }),
      pending_first: space.pendingFirst(state).map(idOf),
      pending_free: space.pendingFree(state).map(idOf),
      needs_qualified: needsQualified(sm, evidence),
      depth: depth
    };
  }

  function guide(model, plate, evidence, calculators) {
    var sm = Sparkgap.belief.specialise(model, plate, calculators);
    return Object.assign({
      belief: Sparkgap.belief.belief(sm, evidence),
      conflict: Sparkgap.belief.conflict(sm, evidence),
      two: Sparkgap.belief.twoFaults(sm, evidence),
      missing: sm.missing
    }, plan(sm, evidence));
  }

  Sparkgap.plan = {
    plan: plan, guide: guide, Space: Space, options: options, estimate: estimate, depthOf: depthOf,
    totalOf: totalOf, isStop: isStop
  };
})();
