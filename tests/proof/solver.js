// The exact optimum by bounded search, or bounds of it: see tests/proof/plan.py. Needs belief.js and plan.js.
//
// A node is a belief (summing to one) with what stands open, what is done, blocked, tried and unsafe. Each has a
// lower bound `lo` and an upper bound `hi` of the minutes to the end. The search follows the act with the least lower
// bound, down to the outcome whose gap counts most, opens one act there and takes the bounds back up.
//
// Lower bounds. Knowing the fault, a job costs at least its own best remedies (`floor`). Minutes are concave in the
// weights, so that they are at least the sum over groups of faults of the minutes if only that group could be: the
// groups are worlds of their own with fewer faults (`parts`), searched as far as pays, and may have groups in turn.
// What cannot matter is left out: a check that says the same of every hypothesis left, and, where the unit is surely
// faulty, a remedy that ends none of them; skipping either and paying for its openings and closings later is never
// dearer, as long as a unit that comes back costs no less than a call.
(function () {
  "use strict";
  var Sparkgap = globalThis.Sparkgap;
  var SAME = 1e-12; // rows closer than this say the same
  var ROUND = 1e9; // beliefs are one and the same when they agree to this many parts
  var MOST = 31; // acts fit into one word of bits

  function bitsOf(list, of) {
    var bits = 0;
    list.forEach(function (one, n) { if (of(one, n)) { bits |= 1 << n; } });
    return bits;
  }

  function dot(a, b) {
    var total = 0.0;
    for (var i = 0; i < a.length; i += 1) { total += a[i] * b[i]; }
    return total;
  }

  function totalOf(values) {
    var total = 0.0;
    for (var i = 0; i < values.length; i += 1) { total += values[i]; }
    return total;
  }

  function product(a, b) {
    var values = new Float64Array(a.length);
    for (var i = 0; i < values.length; i += 1) { values[i] = a[i] * b[i]; }
    return values;
  }

  function normalised(values) {
    var total = totalOf(values);
    var shares = new Float64Array(values.length);
    for (var i = 0; i < shares.length; i += 1) { shares[i] = values[i] / total; }
    return shares;
  }

  // ---- the acts that are left once the free questions are answered; shared by the worlds ----

  function Frame(space, state) {
    this.space = space;
    this.back = space.back;
    this.call = space.call;
    if (this.back < this.call) { throw new Error("a unit that comes back must cost no less than a call"); }
    if (space.waitsForFree(state) || space.barred(state)) { throw new Error("free or barred checks are open"); }
    this.checks = space.checks.filter(function (check) { return !state.done[check.index] || state.blocked[check.index]; });
    this.remedies = space.remedies.filter(function (remedy) { return !state.tried[remedy.index]; });
    if (Math.max(this.checks.length, this.remedies.length) > MOST) { throw new Error("more than " + MOST + " acts"); }
    this.first = bitsOf(this.checks, function (check) { return check.first && !state.done[check.index]; });
    this.done = bitsOf(this.checks, function (check) { return state.done[check.index]; });
    this.blocked = bitsOf(this.checks, function (check) { return state.blocked[check.index]; });
    this.unsafe = state.unsafe;
    this.sites = new Map();
    this.start = this.site(state.site);
  }

  Frame.prototype.site = function (real) {
    var known = this.sites.get(real);
    if (!known) {
      known = { id: this.sites.size, close: real.close, real: real, checks: [], remedies: [] };
      this.sites.set(real, known);
    }
    return known;
  };

  Frame.prototype.check = function (site, n) {
    if (!site.checks[n]) {
      var step = this.space.checkCost(site.real, this.checks[n]);
      site.checks[n] = { cost: step.cost, site: this.site(step.site) };
    }
    return site.checks[n];
  };

  Frame.prototype.remedy = function (site, n) {
    if (!site.remedies[n]) {
      var step = this.space.remedyCost(site.real, this.remedies[n]);
      site.remedies[n] = { cost: step.cost, site: this.site(step.site) };
    }
    return site.remedies[n];
  };

  // ---- the job as if only a group of hypotheses could be ----

  // group: positions of hypotheses; parts: worlds that share them out, or null; effort: trials for each part of a node.
  function World(frame, group, parts, effort) {
    var inside = function (h) { return group.indexOf(h); };
    var self = this;
    this.frame = frame;
    this.group = group;
    this.parts = parts;
    this.effort = effort;
    this.normal = inside(frame.space.normal);
    this.like = frame.checks.map(function (check) {
      return check.like.map(function (row) { return Float64Array.from(group, function (h) { return row[h]; }); });
    });
    this.q = frame.remedies.map(function (remedy) { return Float64Array.from(group, function (h) { return remedy.q[h]; }); });
    this.ends = frame.remedies.map(function (remedy) {
      return remedy.ends.map(inside).filter(function (n) { return n >= 0; });
    });
    this.tells = frame.first | frame.blocked | bitsOf(this.like, function (rows) {
      return rows.some(function (row) { return row.some(function (p) { return Math.abs(p - row[0]) > SAME; }); });
    });
    this.cures = bitsOf(this.ends, function (ends) { return ends.length > 0 || self.normal >= 0; });
    this.table = new Map();
    this.floors = new Map();
    this.opened = 0;
    (parts || []).forEach(function (part) { part.from = part.group.map(inside); });
  }

  // Least minutes if it is surely hypothesis i: its remedies in the best order, with the stops.
  World.prototype.single = function (i, site, tried, unsafe) {
    var frame = this.frame;
    var best = frame.call + site.close;
    if (!unsafe) { best = Math.min(best, (i === this.normal ? 0.0 : frame.back) + site.close); }
    if (i === this.normal) { return best; }
    for (var n = 0; n < this.ends.length; n += 1) {
      if ((tried >> n) & 1 || this.ends[n].indexOf(i) < 0) { continue; }
      var remedy = frame.remedies[n];
      var step = frame.remedy(site, n);
      var fail = remedy.fails * (1.0 - remedy.misses);
      var worth = step.cost + frame.back * remedy.misses * remedy.fails + (1.0 - fail) * step.site.close;
      if (worth < best) { best = Math.min(best, worth + fail * this.single(i, step.site, tried | (1 << n), unsafe)); }
    }
    return best;
  };

  World.prototype.floor = function (site, tried, unsafe) {
    var key = (site.id * 2 + (unsafe ? 1 : 0)) * 4294967296 + (tried >>> 0);
    var known = this.floors.get(key);
    if (!known) {
      known = new Float64Array(this.group.length);
      for (var i = 0; i < known.length; i += 1) { known[i] = this.single(i, site, tried, unsafe); }
      this.floors.set(key, known);
    }
    return known;
  };

  // The node of a state; the same state is the same node.
  World.prototype.node = function (mass, site, done, blocked, tried, unsafe) {
    done &= this.tells;
    tried &= this.cures;
    var key = keyOf(mass, site, done, blocked, tried, unsafe);
    var known;
    for (;;) { // two states may share a key: then the next one
      known = this.table.get(key);
      if (!known) { break; }
      if (known.site === site && known.done === done && known.tried === tried && known.blocked === blocked
        && known.unsafe === unsafe && alike(known.mass, mass)) { return known; }
      key += 1;
    }
    var node = {
      mass: mass, site: site, done: done, blocked: blocked, tried: tried, unsafe: unsafe,
      stop: 0.0, lo: 0.0, hi: 0.0, acts: null, shares: null, tries: 0
    };
    this.table.set(key, node);
    node.stop = this.stopOf(node);
    node.hi = this.estimate(node);
    node.lo = Math.min(dot(mass, this.floor(site, tried, unsafe)), node.hi);
    if (this.parts && node.hi - node.lo > 1e-3 * node.hi) { this.divide(node, this.effort); }
    return node;
  };

  function keyOf(mass, site, done, blocked, tried, unsafe) {
    var one = Math.imul((site.id * 2 + (unsafe ? 1 : 0)) ^ done, 0x85ebca6b) ^ Math.imul(tried + 77, 0xc2b2ae35);
    var two = done ^ Math.imul(tried, 0x9e3779b1) ^ Math.imul(blocked, 0x85ebca6b);
    for (var i = 0; i < mass.length; i += 1) {
      var part = Math.round(mass[i] * ROUND) | 0;
      one = Math.imul(one ^ part, 0x01000193);
      one ^= one >>> 15;
      two = Math.imul(two + part, 0x27d4eb2f);
      two ^= two >>> 13;
    }
    return (one >>> 0) * 1048576 + (two & 1048575);
  }

  function alike(a, b) {
    for (var i = 0; i < a.length; i += 1) { if (Math.abs(a[i] - b[i]) > 2.0 / ROUND) { return false; } }
    return true;
  }

  World.prototype.due = function (node) {
    return this.frame.first & ~node.done & ~this.frame.done;
  };

  World.prototype.normalOf = function (mass) {
    return this.normal >= 0 ? mass[this.normal] : 0.0;
  };

  function stopWith(frame, unsafe, now, normal, site) {
    return (unsafe ? now * frame.call : Math.min(now * frame.call, (now - normal) * frame.back)) + now * site.close;
  }

  World.prototype.stopOf = function (node) {
    return this.due(node) ? Infinity : stopWith(this.frame, node.unsafe, 1.0, this.normalOf(node.mass), node.site);
  };

  // The sum of the groups' lower bounds, each searched for so many trials more.
  World.prototype.divide = function (node, effort) {
    var k;
    if (!node.shares) { node.shares = this.parts.map(shareOf.bind(null, node)).filter(Boolean); }
    for (k = 0; effort > 0 && k < node.shares.length; k += 1) {
      node.shares[k].world.improve(node.shares[k].node, effort, 2e-3);
    }
    var sum = 0.0;
    for (k = 0; k < node.shares.length; k += 1) { sum += node.shares[k].p * node.shares[k].node.lo; }
    node.lo = Math.max(node.lo, Math.min(sum, node.hi));
  };

  function shareOf(node, part) {
    var mass = part.from.map(function (i) { return node.mass[i]; });
    var p = totalOf(mass);
    if (!(p > 0.0)) { return null; }
    return {
      world: part, p: p,
      node: part.node(normalised(mass), node.site, node.done, node.blocked, node.tried, node.unsafe)
    };
  }

  // A way of working: what blocks is made again, and then the remedies come by chance per minute with the stops. While
  // must-come-first checks are open, whose answers may block, these and a call.
  World.prototype.estimate = function (node) {
    var frame = this.frame;
    var site = node.site;
    var entry = 0.0;
    var due = this.due(node);
    var pending = due || node.blocked;
    for (var c = 0; pending; c += 1, pending &= ~(1 << (c - 1))) {
      if ((pending >> c) & 1) {
        entry += frame.check(site, c).cost;
        site = frame.check(site, c).site;
      }
    }
    if (due) { return entry + frame.call + site.close; }
    var left = Float64Array.from(node.mass);
    var order = this.inOrder(node, site);
    var normal = this.normalOf(left);
    var standing = 1.0 - normal;
    var scale = 1.0;
    var stops = [];
    var steps = [];
    for (var k = 0; k < order.length; k += 1) {
      var remedy = frame.remedies[order[k]];
      var ends = this.ends[order[k]];
      var now = scale * standing + normal;
      stops[k] = stopWith(frame, node.unsafe, now, normal, site);
      for (var i = 0; i < ends.length; i += 1) {
        standing = Math.max(0.0, standing - left[ends[i]] * (1.0 - remedy.fails));
        left[ends[i]] *= remedy.fails;
      }
      var step = frame.remedy(site, order[k]);
      site = step.site;
      steps[k] = now * step.cost + frame.back * (remedy.misses * scale * standing + normal);
      scale *= 1.0 - remedy.misses;
      steps[k] += (now - scale * standing) * site.close;
      normal = 0.0;
    }
    var worth = stopWith(frame, node.unsafe, scale * standing + normal, normal, site);
    for (k = order.length - 1; k >= 0; k -= 1) { worth = Math.min(stops[k], steps[k] + worth); }
    return Math.min(node.stop, entry + worth);
  };

  World.prototype.inOrder = function (node, site) {
    var order = [];
    var ratios = [];
    for (var n = 0; n < this.ends.length; n += 1) {
      var ends = this.ends[n];
      var gain = 0.0;
      for (var i = 0; i < ends.length; i += 1) { gain += node.mass[ends[i]]; }
      gain *= 1.0 - this.frame.remedies[n].fails;
      if ((node.tried >> n) & 1 || !(gain > SAME)) { continue; }
      var ratio = gain / Math.max(1e-9, this.frame.remedy(site, n).cost);
      var at = order.length;
      for (; at > 0 && ratios[at - 1] < ratio; at -= 1) {
        ratios[at] = ratios[at - 1];
        order[at] = order[at - 1];
      }
      ratios[at] = ratio;
      order[at] = n;
    }
    return order;
  };

  // ---- search ----

  World.prototype.expand = function (node) {
    var pending = this.due(node) | node.blocked;
    node.acts = [];
    for (var r = 0; !pending && r < this.q.length; r += 1) { if (this.mayEnd(node, r)) { node.acts.push(this.remedyAct(node, r)); } }
    for (var c = 0; c < this.like.length; c += 1) {
      var bit = 1 << c;
      var check = this.frame.checks[c];
      if ((this.frame.done | node.done) & ~node.blocked & bit) { continue; }
      if (node.blocked ? !(node.blocked & bit) : pending && check.tier > 0 && !check.first) { continue; }
      if (!(pending & bit) && !this.tellsApart(c, node.mass)) { continue; }
      var step = this.frame.check(node.site, c);
      var lo = step.cost + dot(node.mass, this.floor(step.site, node.tried, node.unsafe));
      node.acts.push({ check: c, remedy: -1, worth: step.cost, lo: lo, hi: Infinity, next: null, p: [] });
    }
  };

  World.prototype.mayEnd = function (node, r) {
    if ((node.tried >> r) & 1) { return false; }
    if (this.normalOf(node.mass) > 0.0) { return true; }
    for (var i = 0; i < this.ends[r].length; i += 1) { if (node.mass[this.ends[r][i]] > 0.0) { return true; } }
    return false;
  };

  World.prototype.remedyAct = function (node, r) {
    var remedy = this.frame.remedies[r];
    var step = this.frame.remedy(node.site, r);
    var left = product(node.mass, this.q[r]);
    var standing = totalOf(left);
    var through = 1.0 - remedy.misses;
    var worth = step.cost + this.frame.back * (remedy.misses * standing + this.normalOf(node.mass));
    worth += (1.0 - through * standing) * step.site.close;
    var lo = worth + through * dot(left, this.floor(step.site, node.tried | (1 << r), node.unsafe));
    return { check: -1, remedy: r, worth: worth, lo: lo, hi: Infinity, next: null, p: [] };
  };

  World.prototype.tellsApart = function (c, mass) {
    var rows = this.like[c];
    for (var a = 0; a < rows.length; a += 1) {
      var seen = -1.0;
      for (var i = 0; i < mass.length; i += 1) {
        if (!(mass[i] > 0.0)) { continue; }
        if (seen >= 0.0 && Math.abs(rows[a][i] - seen) > SAME) { return true; }
        seen = rows[a][i];
      }
    }
    return false;
  };

  // Makes the nodes that an act leads to.
  World.prototype.open = function (node, act) {
    this.opened += 1;
    act.next = [];
    if (act.remedy >= 0) {
      var step = this.frame.remedy(node.site, act.remedy);
      var tried = node.tried | (1 << act.remedy);
      this.lead(act, node, this.q[act.remedy], 1.0 - this.frame.remedies[act.remedy].misses, step.site, {
        done: node.done, blocked: node.blocked, tried: tried, unsafe: node.unsafe
      });
    } else { this.openCheck(node, act); }
    this.revalue(act);
  };

  World.prototype.openCheck = function (node, act) {
    var bit = 1 << act.check;
    var check = this.frame.checks[act.check];
    var site = this.frame.check(node.site, act.check).site;
    if (node.blocked & bit) { // made again, its cause put right
      act.p.push(1.0);
      act.next.push(this.node(node.mass, site, node.done, node.blocked & ~bit, node.tried, node.unsafe));
      return;
    }
    this.like[act.check].forEach(function (row, answer) {
      this.lead(act, node, row, 1.0, site, {
        done: node.done | bit,
        blocked: check.first && check.blocks[answer] ? node.blocked | bit : node.blocked,
        tried: node.tried,
        unsafe: node.unsafe || (check.within >= 0 && answer !== check.within)
      });
    }, this);
  };

  World.prototype.lead = function (act, node, factors, scale, site, to) {
    var mass = product(node.mass, factors);
    var p = totalOf(mass);
    if (!(p > 0.0)) { return; }
    act.p.push(p * scale);
    act.next.push(this.node(normalised(mass), site, to.done, to.blocked, to.tried, to.unsafe));
  };

  World.prototype.revalue = function (act) {
    var lo = act.worth;
    var hi = act.worth;
    for (var k = 0; k < act.next.length; k += 1) {
      lo += act.p[k] * act.next[k].lo;
      hi += act.p[k] * act.next[k].hi;
    }
    act.lo = Math.max(act.lo, lo);
    act.hi = Math.min(act.hi, hi);
  };

  // The bounds of a node from its acts; acts that cannot be best any more are forgotten.
  World.prototype.backUp = function (node) {
    if (node.acts) {
      var lo = node.stop;
      for (var k = 0; k < node.acts.length; k += 1) {
        var act = node.acts[k];
        if (act.next) { this.revalue(act); }
        lo = Math.min(lo, act.lo);
        node.hi = Math.min(node.hi, act.hi);
      }
      node.lo = Math.max(node.lo, lo);
      var kept = 0;
      for (k = 0; k < node.acts.length; k += 1) {
        if (node.acts[k].lo <= node.hi + 1e-9) { node.acts[kept++] = node.acts[k]; }
      }
      node.acts.length = kept;
    }
    if (node.shares) { this.divide(node, 0); }
    node.lo = Math.min(node.lo, node.hi);
  };

  // Better bounds of the parts before a node is taken apart, as long as they give something.
  World.prototype.deepen = function (node) {
    if (!node.shares || node.tries >= 3) { return false; }
    node.tries += 1;
    var before = node.lo;
    this.divide(node, this.effort << node.tries);
    return node.lo - before > 0.02 * (node.hi - before);
  };

  World.prototype.trial = function (node, within) {
    var path = [];
    while (node) {
      path.push(node);
      if (!node.acts) {
        if (this.deepen(node)) { break; }
        this.expand(node);
      }
      var best = null;
      for (var k = 0; k < node.acts.length; k += 1) { if (!best || node.acts[k].lo < best.lo) { best = node.acts[k]; } }
      if (!best || best.lo >= node.stop - SAME) { break; }
      if (!best.next) {
        this.open(node, best);
        break;
      }
      node = widest(best, within);
    }
    for (var i = path.length - 1; i >= 0; i -= 1) { this.backUp(path[i]); }
  };

  function widest(act, within) {
    var found = null;
    var most = 0.0;
    for (var k = 0; k < act.next.length; k += 1) {
      var gap = act.p[k] * (act.next[k].hi - act.next[k].lo - within * act.next[k].hi);
      if (gap > most) { most = gap; found = act.next[k]; }
    }
    return found;
  }

  // Up to so many trials, until the bounds are within a fraction of each other or the time is over.
  World.prototype.improve = function (node, trials, within, until) {
    var idle = 0;
    for (var n = 0; n < trials && idle < 200 && node.hi - node.lo > within * node.hi; n += 1) {
      if (until && n % 16 === 0 && Date.now() > until) { break; }
      var lo = node.lo;
      var hi = node.hi;
      var opened = this.opened;
      this.trial(node, 0.5 * within);
      idle = node.lo === lo && node.hi === hi && this.opened === opened ? idle + 1 : 0;
    }
    return node;
  };

  // ---- groups ----

  function start(world, state) {
    var frame = world.frame;
    var mass = normalised(world.group.map(function (h) { return state.mass[h]; }));
    return world.node(mass, frame.start, frame.done, frame.blocked, 0, frame.unsafe);
  }

  // How much more two hypotheses cost together than each known by itself, by pair.
  function confusions(frame, state, all) {
    function bound(group) {
      var world = new World(frame, group, null, 0);
      var p = group.reduce(function (total, h) { return total + state.mass[h]; }, 0.0);
      return p * world.improve(start(world, state), 100, 1e-3).lo;
    }
    var alone = all.map(function (h) { return bound([h]); });
    return all.map(function (a, i) {
      return all.map(function (b, j) { return j <= i ? 0.0 : bound([a, b]) - alone[i] - alone[j]; });
    });
  }

  // Puts together what is hard to tell apart, into groups of at most `size`.
  function grouped(groups, size, between) {
    groups = groups.slice();
    for (;;) {
      var most = 1e-9;
      var pair = null;
      for (var a = 0; a < groups.length; a += 1) {
        for (var b = a + 1; b < groups.length; b += 1) {
          var gain = groups[a].length + groups[b].length > size ? 0.0 : between(groups[a], groups[b]);
          if (gain > most) { most = gain; pair = [a, b]; }
        }
      }
      if (!pair) { return groups; }
      groups[pair[0]] = groups[pair[0]].concat(groups[pair[1]]);
      groups.splice(pair[1], 1);
    }
  }

  function levels(frame, state, all, sizes, effort) {
    var known = confusions(frame, state, all);
    function between(one, other) {
      var sum = 0.0;
      one.forEach(function (a) {
        other.forEach(function (b) { sum += known[Math.min(all.indexOf(a), all.indexOf(b))][Math.max(all.indexOf(a), all.indexOf(b))]; });
      });
      return sum / Math.sqrt(one.length * other.length);
    }
    var groups = all.map(function (h) { return [h]; });
    var worlds = [];
    sizes.forEach(function (size) {
      groups = grouped(groups, size, between);
      worlds = groups.map(function (group) {
        var inside = worlds.filter(function (world) { return group.indexOf(world.group[0]) >= 0; });
        return inside.length === 1 ? inside[0] : new World(frame, group, inside.length ? inside : null, effort);
      });
    });
    return worlds;
  }

  // Bounds {lo, hi} of the least minutes from a state without open free questions, after so many seconds at most.
  function solve(space, state, seconds, within, sizes, effort) {
    var until = Date.now() + 1000.0 * seconds;
    var frame = new Frame(space, state);
    var all = state.mass.map(function (value, h) { return value > 0.0 ? h : -1; }).filter(function (h) { return h >= 0; });
    var worlds = sizes.length ? levels(frame, state, all, sizes, effort) : [];
    var world = new World(frame, all, worlds.length > 1 ? worlds : null, effort);
    var root = world.improve(start(world, state), Infinity, within, until);
    return { lo: root.lo, hi: root.hi, nodes: world.table.size };
  }

  Sparkgap.proof = { solve: solve };
})();
