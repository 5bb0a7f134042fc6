// From the owner's words to danger, refusals, symptoms and facts: the twin of tools/sparkgap/intake, same scores.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  var REACH = 4, GAP = "..", SPAN = 3, SHORTEST = 4, SHARED = 0.4, RESPELLED = 0.75;
  var PAIR = 0.28, WEAK = { "": 1, "no ": 0.7, "ok ": 0.3 };
  var BEST = 0.95, LEAST = 0.66, BEHIND = 0.3, FOREIGN = 0.4, BESIDE = 0.5, REASONS = 5, MOST = 20;
  var WEIGHT = 1000, PART = 100, SOURCES = ["gas", "electric"], UNKNOWN = [WEIGHT, [], []];

  // --- words -----------------------------------------------------------------------------------------------

  function plain(text) {
    return text.toLowerCase().replace(/\u2019/g, "'").normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
  }

  function words(text) {
    return (plain(text).match(/[a-z0-9]+(?:'[a-z]+)?/g) || []).map(function (word) {
      return word.replace(/'(?:s|ll|d|re|ve|m)$/, "").replace("'", "");
    });
  }

  // [{word, stem, clause}]: punctuation ends a clause, and so does a word that turns.
  function cut(text, lists) {
    var found = [], clause = 0;
    plain(text).split(/[.,;:!?()\n]+/).forEach(function (part) {
      clause += 1;
      words(part).forEach(function (word) {
        if (lists.turns.has(word)) clause += 1;
        found.push({ word: word, stem: stem(word), clause: clause });
      });
    });
    return found;
  }

  function stem(word) {
    var end = word.slice(-2);
    if (word.slice(-1) === "s" && end !== "ss" && end !== "us" && end !== "is" && word.length > 3) word = word.slice(0, -1);
    var ending = ["ing", "ed", "ly"].find(function (e) { return word.endsWith(e) && word.length - e.length >= 3; });
    if (ending) word = word.slice(0, word.length - ending.length);
    var last = word.slice(-1), before = word.slice(-2, -1);
    if (word.length > 3 && last === before && "bdgmnprt".indexOf(last) >= 0) word = word.slice(0, -1);
    last = word.slice(-1);
    before = word.slice(-2, -1);
    if (word.length > 3 && last === "e" && "aeou".indexOf(before) < 0) word = word.slice(0, -1);
    last = word.slice(-1);
    before = word.slice(-2, -1);
    return word.length > 2 && last === "y" && "aeou".indexOf(before) < 0 ? word.slice(0, -1) + "i" : word;
  }

  function grams(word) {
    var marked = "<" + word + ">", seen = new Set();
    for (var i = 0; i < marked.length - 1; i++) seen.add(marked.slice(i, i + 2));
    return Array.from(seen).sort();
  }

  // For each word whether a danger that begins there is taken back: "no smell", "isn't any smell of gas".
  function denied(said, lists) {
    var negated = false;
    return said.map(function (one, at) {
      if (at && one.clause !== said[at - 1].clause) negated = false;
      var result = negated, next = said[at + 1];
      var carried = lists.fillers.has(one.word) || lists.carriers.has(one.word) ||
        (next !== undefined && lists.carriers.has(next.word));
      negated = lists.denials.has(one.word) || (negated && carried);
      return result;
    });
  }

  // --- spelling --------------------------------------------------------------------------------------------

  function speller(known, common) {
    var right = new Set(known.concat(common)), byGram = new Map(), size = [], met = new Map();
    known.forEach(function (word, number) {
      var mine = grams(word);
      size.push(mine.length);
      mine.forEach(function (gram) {
        if (byGram.has(gram)) byGram.get(gram).push(number);
        else byGram.set(gram, [number]);
      });
    });
    var shared = new Uint16Array(known.length);

    function nearest(word) {
      var mine = grams(word), touched = [], best = "", least = 0, most = 0, allowed = word.length < 7 ? 1 : 2;
      mine.forEach(function (gram) {
        (byGram.get(gram) || []).forEach(function (number) {
          if (!shared[number]) touched.push(number);
          shared[number] += 1;
        });
      });
      touched.sort(function (a, b) { return a - b; }).forEach(function (number) {
        var other = known[number], alike = (2 * shared[number]) / (mine.length + size[number]);
        shared[number] = 0;
        if (alike < SHARED || (other.length < SHORTEST && !word.startsWith(other)) || Math.abs(other.length - word.length) > allowed) return;
        var apart = distance(word, other, allowed);
        if (apart <= allowed && (!best || apart < least || (apart === least && alike > most))) {
          best = other;
          least = apart;
          most = alike;
        }
      });
      return best;
    }

    return function (word) {
      if (right.has(word) || word.length < SHORTEST || /[0-9]/.test(word)) return word;
      if (!met.has(word)) met.set(word, nearest(word));
      return met.get(word);
    };
  }

  // Letters left out, put in, changed or swapped with a neighbour, at most allowed + 1.
  function distance(one, other, allowed) {
    var older, before = [], row = [];
    for (var k = 0; k <= other.length; k++) row.push(k);
    for (var i = 1; i <= one.length; i++) {
      older = before;
      before = row;
      row = [i];
      for (var j = 1; j <= other.length; j++) {
        var differs = one[i - 1] === other[j - 1] ? 0 : 1;
        var cost = Math.min(before[j] + 1, row[j - 1] + 1, before[j - 1] + differs);
        if (i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]) {
          cost = Math.min(cost, older[j - 2] + 1);
        }
        row.push(cost);
      }
      if (Math.min.apply(null, row) > allowed) return allowed + 1;
    }
    return row[row.length - 1];
  }

  // --- expressions -----------------------------------------------------------------------------------------

  function finder(expressions) {
    var byFirst = new Map();
    Array.from(new Set(expressions)).sort().forEach(function (one) {
      var parts = one.split(" ");
      if (byFirst.has(parts[0])) byFirst.get(parts[0]).push([one, parts]);
      else byFirst.set(parts[0], [[one, parts]]);
    });
    // For each expression that is said: [first word, word after the last] of every place.
    return function (stems) {
      var found = new Map();
      stems.forEach(function (word, at) {
        (byFirst.get(word) || []).forEach(function (candidate) {
          var end = fits(stems, at, candidate[1]);
          if (!end) return;
          if (found.has(candidate[0])) found.get(candidate[0]).push([at, end]);
          else found.set(candidate[0], [[at, end]]);
        });
      });
      return found;
    };
  }

  function fits(stems, at, parts) {
    var gap = 0;
    for (var i = 0; i < parts.length; i++) {
      if (parts[i] === GAP) {
        gap = SPAN;
        continue;
      }
      while (gap && at < stems.length && stems[at] !== parts[i]) {
        at += 1;
        gap -= 1;
      }
      if (at >= stems.length || stems[at] !== parts[i]) return 0;
      at += 1;
      gap = 0;
    }
    return at;
  }

  // --- features --------------------------------------------------------------------------------------------

  // For each word whether it is denied or said to be sound.
  function states(said, lists) {
    var sound = new Set(), left = 0, clause = 0;
    said.forEach(function (one) { if (lists.sound.has(one.word)) sound.add(one.clause); });
    said.forEach(function (one) { if (lists.negations.has(one.word)) sound.delete(one.clause); });
    return said.map(function (one) {
      if (one.clause !== clause) {
        left = 0;
        clause = one.clause;
      }
      var state = left ? "no " : sound.has(one.clause) ? "ok " : "";
      if (lists.negations.has(one.word)) left = REACH;
      else if (left && !lists.stop_words.has(one.word)) left -= 1;
      return state;
    });
  }

  // The terms in order, concepts in the place of their expressions, the longest first.
  function terms(said, stems, ready) {
    var state = states(said, ready.lists), starts = new Map(), found = [], at = 0;
    ready.concepts(stems).forEach(function (places, expression) {
      var name = ready.index.concepts[expression];
      places.forEach(function (place) {
        var held = starts.get(place[0]);
        if (!held || place[1] > held[0] || (place[1] === held[0] && name > held[1])) starts.set(place[0], [place[1], name]);
      });
    });
    while (at < said.length) {
      var start = starts.get(at), end = start ? start[0] : at + 1, name = start ? start[1] : stems[at];
      var word = said[at].word;
      var idle = ready.lists.stop_words.has(word) || ready.lists.negations.has(word) || /^[0-9]+$/.test(word) || !name;
      if (start || !idle) {
        var sure = 1;
        for (var i = at; i < end; i++) if (stems[i] !== said[i].stem) sure = RESPELLED;
        found.push({ name: name, state: state[at], sure: sure, first: at, last: end, clause: said[at].clause });
      }
      at = end;
    }
    return found;
  }

  // Each feature once, with its greatest weight: Map(feature -> [weight, first word, word after the last]).
  function features(list) {
    var once = new Map();
    function put(feature, weight, first, last) {
      var held = once.get(feature);
      if (!held) once.set(feature, [weight, first, last]);
      else if (weight > held[0]) { held[0] = weight; held[1] = first; held[2] = last; }
    }
    list.forEach(function (one) {
      if (one.state) put(one.state + one.name, one.sure, one.first, one.last);
      put(one.name, one.sure * WEAK[one.state], one.first, one.last);
    });
    for (var i = 0; i + 1 < list.length; i++) {
      var a = list[i], b = list[i + 1];
      if (a.clause === b.clause) {
        put((a.state === b.state ? a.state : "") + a.name + "+" + b.name, PAIR * a.sure * b.sure, a.first, b.last);
      }
    }
    return once;
  }

  function isPair(feature) { return feature.indexOf("+") >= 0; }

  // --- danger ----------------------------------------------------------------------------------------------

  function resolved(signs, groups) {
    function spread(list) {
      return [].concat.apply([], list.map(function (e) { return e[0] === "@" ? groups[e.slice(1)] : [e]; }));
    }
    return signs.map(function (sign) {
      return { said: sign.said, all: sign.all.map(spread), none: spread(sign.none), within: sign.within };
    });
  }

  function byPlace(a, b) { return a[0] - b[0] || a[1] - b[1]; }

  // The words by which a sign is recognised, "" when it is not.
  function because(sign, said, places, no) {
    var groups = [];
    for (var g = 0; g < sign.all.length; g++) {
      var here = [];
      sign.all[g].forEach(function (e) {
        (places.get(e) || []).forEach(function (place) { if (!no[place[0]]) here.push(place); });
      });
      if (!here.length) return "";
      groups.push(here.sort(byPlace));
    }
    var against = [].concat.apply([], sign.none.map(function (e) { return places.get(e) || []; }));
    var starts = [].concat.apply([], groups).sort(byPlace);
    for (var s = 0; s < starts.length; s++) {
      var start = starts[s][0];
      var picked = groups.map(function (list) {
        return list.find(function (place) { return place[0] >= start && place[0] <= start + sign.within; });
      });
      if (picked.indexOf(undefined) >= 0) continue;
      if (against.some(function (place) { return Math.abs(place[0] - start) <= sign.within; })) continue;
      return sign.said || told(picked, said).join(" … ");
    }
    return "";
  }

  // The words of places, each place once, in their order.
  function told(places, said) {
    var seen = new Set();
    return places.slice().sort(byPlace).filter(function (place) {
      var key = place[0] + " " + place[1];
      return !seen.has(key) && seen.add(key);
    }).map(function (place) {
      return said.slice(place[0], place[1]).map(function (one) { return one.word; }).join(" ");
    });
  }

  function heard(kind, said, places, ready) {
    var no = denied(said, ready.lists), found = [];
    ready.signs[kind].forEach(function (entry) {
      for (var i = 0; i < entry[1].length; i++) {
        var why = because(entry[1][i], said, places, no);
        if (why) return found.push([entry[0], why]);
      }
    });
    return found;
  }

  // --- ranking ---------------------------------------------------------------------------------------------

  function has(object, key) { return Object.prototype.hasOwnProperty.call(object, key); }

  function lookup(ready, feature) { return has(ready.index.terms, feature) ? ready.index.terms[feature] : UNKNOWN; }

  var KEPT = new WeakMap();

  // An index made ready, once: the same one serves any number of complaints.
  function prepare(index) {
    if (KEPT.has(index)) return KEPT.get(index);
    var ready = { index: index, lists: {}, signs: {}, systems: new Map(), speaking: new Map(),
      alike: new Float64Array(index.said.length) };
    Object.keys(index.words).forEach(function (name) { ready.lists[name] = new Set(index.words[name]); });
    index.systems.forEach(function (one) {
      one.names.forEach(function (e) { ready.systems.set(e, (ready.systems.get(e) || new Set()).add(one.id)); });
    });
    var watched = new Set(), known = new Set();
    ["emergencies", "refusals"].forEach(function (kind) {
      ready.signs[kind] = Object.keys(index[kind]).map(function (name) {
        var signs = resolved(index[kind][name].signs, index.groups);
        signs.forEach(function (sign) { sign.all.concat([sign.none]).forEach(function (l) { l.forEach(function (e) { watched.add(e); }); }); });
        return [name, signs];
      });
    });
    var naming = Array.from(ready.systems.keys()), concepts = Object.keys(index.concepts);
    concepts.concat(naming, Array.from(watched)).forEach(function (e) { e.split(" ").forEach(function (w) { known.add(w); }); });
    Object.keys(index.terms).forEach(function (f) { if (f.indexOf(" ") < 0 && !isPair(f)) known.add(f); });
    ready.watch = finder(Array.from(watched));
    ready.naming = finder(naming);
    ready.concepts = finder(concepts);
    ready.meant = speller(Array.from(known).sort(), index.common);
    naming.forEach(function (e) { ready.speaking.set(e, speaking(e, ready)); });
    KEPT.set(index, ready);
    return ready;
  }

  // The symptoms whose own texts speak of what an expression names.
  function speaking(expression, ready) {
    var names = has(ready.index.concepts, expression) ? [ready.index.concepts[expression]] : expression.split(" ");
    return names.map(function (name) {
      return new Set(lookup(ready, name)[1].filter(function (_, i) { return i % 2 === 0; }));
    }).reduce(function (a, b) { return new Set(Array.from(a).filter(function (n) { return b.has(n); })); });
  }

  // For each symptom how alike its nearest phrase is: the cosine of the two.
  function nearestPhrase(once, ready) {
    var alike = ready.alike, touched = [], length = 0, scores = new Map();
    once.forEach(function (one, feature) {
      if (isPair(feature)) return;
      var row = lookup(ready, feature), mine = (one[0] * row[0]) / WEIGHT, postings = row[2];
      length += mine * mine;
      for (var at = 0; at < postings.length; at += 2) {
        var phrase = postings[at];
        if (alike[phrase] === 0) touched.push(phrase);
        alike[phrase] += (mine * postings[at + 1]) / PART;
      }
    });
    length = Math.sqrt(length);
    for (var i = 0; i < touched.length; i++) {
      var number = ready.index.said[touched[i]], value = alike[touched[i]] / length;
      alike[touched[i]] = 0;
      if (value > (scores.get(number) || 0)) scores.set(number, value);
    }
    return scores;
  }

  // What is left of a score when the words name things of another system: all, when they are its own phrase.
  function atHome(number, named, alike, ready) {
    var kept = left(number, named, ready), fourth = (alike * alike) * (alike * alike);
    return kept + (1 - kept) * (fourth * fourth);
  }

  function left(number, named, ready) {
    var own = ready.index.symptoms[number].system, spoken = true;
    named.forEach(function (systems, e) { if (!systems.has(own) && !ready.speaking.get(e).has(number)) spoken = false; });
    if (meantBy(named).has(own) || !named.size) return spoken ? 1 : BESIDE;
    if (!spoken) return FOREIGN;
    var different = new Set(Array.from(named.values(), function (systems) { return Array.from(systems).sort().join(" "); }));
    return different.size > 1 ? 1 : BESIDE;
  }

  function symptoms(said, stems, named, ready) {
    var once = features(terms(said, stems, ready)), all = ready.index.symptoms;
    var nearest = nearestPhrase(once, ready), scores = new Map();
    nearest.forEach(function (alike, number) { scores.set(number, BEST * alike); });
    once.forEach(function (one, feature) {
      var postings = lookup(ready, feature)[1];
      for (var at = 0; at < postings.length; at += 2) {
        scores.set(postings[at], (scores.get(postings[at]) || 0) + (one[0] * postings[at + 1]) / WEIGHT);
      }
    });
    var best = [];
    scores.forEach(function (score, number) {
      score *= atHome(number, named, nearest.get(number) || 0, ready);
      if (score >= BEHIND) best.push([score, number]);
    });
    best.sort(function (a, b) { return b[0] - a[0] || (all[a[1]].id < all[b[1]].id ? -1 : 1); });
    best = best.slice(0, MOST);
    if (!best.length || best[0][0] < LEAST) return [];
    var reasons = spoken(once, best, ready);
    return best.map(function (pair) {
      var one = all[pair[1]];
      return { id: one.id, title: one.title, url: one.url, score: pair[0], because: reasonsFor(reasons.get(pair[1]), said) };
    });
  }

  // For each of the best symptoms what the words add to it, and which they are.
  function spoken(once, best, ready) {
    var found = new Map();
    best.forEach(function (pair) { found.set(pair[1], []); });
    once.forEach(function (one, feature) {
      var postings = lookup(ready, feature)[1];
      for (var at = 0; at < postings.length; at += 2) {
        var list = found.get(postings[at]);
        if (list) list.push([(one[0] * postings[at + 1]) / WEIGHT, one[1], one[2]]);
      }
    });
    return found;
  }

  // The words of the complaint that speak most for a symptom, in their order.
  function reasonsFor(spoken, said) {
    spoken.sort(function (a, b) { return b[0] - a[0] || a[1] - b[1] || a[2] - b[2]; });
    var places = [], seen = new Set();
    spoken.forEach(function (one) {
      var key = one[1] + " " + one[2];
      if (places.length < REASONS && !seen.has(key)) { seen.add(key); places.push([one[1], one[2]]); }
    });
    return Array.from(new Set(told(places, said)));
  }

  // The expressions that name a system, with their systems. What is said to be sound is not meant, unless it is all
  // that is named and only a source of it is sound; a part that several systems have goes with the appliance beside it.
  function namedIn(said, stems, ready) {
    var state = states(said, ready.lists), places = ready.naming(stems), sure = new Set(), named = new Map();
    function those(fits) {
      return Array.from(places.keys()).filter(function (e) {
        return places.get(e).some(function (place) { return fits(place[0]); });
      });
    }
    var meant = those(function (at) { return state[at] !== "ok "; });
    if (!meant.length) {
      var sided = clausesOfSources(said, stems, ready);
      meant = those(function (at) { return sided.has(said[at].clause); });
    }
    meant.forEach(function (e) {
      if (ready.systems.get(e).size === 1) ready.systems.get(e).forEach(function (system) { sure.add(system); });
    });
    meant.forEach(function (e) {
      var systems = ready.systems.get(e), beside = Array.from(systems).some(function (one) { return sure.has(one); });
      if (systems.size === 1 || !beside) named.set(e, systems);
    });
    return named;
  }

  // The clauses that speak of gas or of electricity.
  function clausesOfSources(said, stems, ready) {
    var clauses = new Set();
    ready.concepts(stems).forEach(function (places, e) {
      if (SOURCES.indexOf(ready.index.concepts[e]) < 0) return;
      places.forEach(function (place) { clauses.add(said[place[0]].clause); });
    });
    return clauses;
  }

  // The systems that what is named may mean.
  function meantBy(named) {
    var meant = new Set();
    named.forEach(function (systems) { systems.forEach(function (one) { meant.add(one); }); });
    return meant;
  }

  // The systems to go by when nothing fits: those that are named first, the others if they have symptoms.
  function systemsFor(named, ready) {
    var meant = meantBy(named);
    var held = ready.index.systems.filter(function (one) { return one.symptoms || meant.has(one.id); })
      .map(function (one) { return { id: one.id, title: one.title, symptoms: one.symptoms }; });
    return held.filter(function (one) { return meant.has(one.id); })
      .concat(held.filter(function (one) { return !meant.has(one.id); }));
  }

  function rank(text, index) {
    var ready = prepare(index), said = cut(text, ready.lists);
    var stems = said.map(function (one) { return ready.meant(one.stem); });
    var places = ready.watch(stems), named = namedIn(said, stems, ready), found = facts(text);
    var fitting = symptoms(said, stems, named, ready);
    return {
      complaint: text,
      emergencies: heard("emergencies", said, places, ready).map(function (one) {
        var e = index.emergencies[one[0]];
        return { id: one[0], title: e.title, now: e.now, call: e.call, before: e.before, because: one[1],
          url: "kb/stop.html#emergency-" + one[0] };
      }),
      refusals: heard("refusals", said, places, ready).map(function (one) {
        var r = index.refusals[one[0]];
        return { id: one[0], title: r.title, why: r.why, instead: r.instead, because: one[1],
          url: "kb/refusals.html#refusal-" + one[0] };
      }),
      symptoms: fitting,
      systems: fitting.length ? [] : systemsFor(named, ready),
      facts: found,
      plate: plate(found, index.plate),
    };
  }

  // --- numbers ---------------------------------------------------------------------------------------------

  var UNITS = {}, VALUES = {};
  [["minute minutes min mins", "duration", "min"], ["second seconds sec secs", "duration", "s"],
    ["hour hours hr hrs", "duration", "h"], ["gallon gallons gal", "volume", "gal"],
    ["volt volts v", "voltage", "V"], ["amp amps ampere amperes", "current", "A"],
    ["degree degrees f", "temperature", "degF"], ["btu btus", "power", "Btu/h"], ["psi", "gauge-pressure", "psi"],
    ["watt watts w", "electric-power", "W"]]
    .forEach(function (row) {
      row[0].split(" ").forEach(function (word) { UNITS[word] = [row[1], row[2]]; });
    });
  var ONES = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen " +
    "seventeen eighteen nineteen").split(" ");
  var TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split(" ");
  ONES.forEach(function (word, i) { VALUES[word] = i; });
  TENS.forEach(function (word, i) { VALUES[word] = 10 * (i + 2); });

  var LONGEST = 12;

  function number(cut, at) {
    var word = (cut[at] || "").replace(/point/g, ".");
    if (/^[0-9]+(?:\.[0-9]+)?$/.test(word)) return word.length <= LONGEST ? [word, 1] : ["", 0];
    var got = small(cut, at), value = got[0], used = got[1];
    if (!used && word === "a" && (cut[at + 1] === "hundred" || cut[at + 1] === "thousand")) { value = 1; used = 1; }
    if (used && cut[at + used] === "hundred") {
      value *= 100;
      used += 1;
      var skip = cut[at + used] === "and" ? 1 : 0, more = small(cut, at + used + skip);
      value += more[0];
      if (more[1]) used += skip + more[1];
    }
    if (used && cut[at + used] === "thousand") { value *= 1000; used += 1; }
    return used ? [String(value), used] : ["", 0];
  }

  // A number below a hundred in words, and how many it takes.
  function small(cut, at) {
    var word = cut[at] || "", following = ONES.indexOf(cut[at + 1] || "");
    if (TENS.indexOf(word) >= 0 && following >= 1 && following <= 9) return [VALUES[word] + following, 2];
    return has(VALUES, word) ? [VALUES[word], 1] : [0, 0];
  }

  // The words, with signs, decimal points and units that are glued to numbers kept apart.
  function spaced(text) {
    return words(plain(text)
      .replace(/([0-9]),(?=[0-9]{3}(?![0-9]))/g, "$1")
      .replace(/([0-9])\.(?=[0-9])/g, "$1point")
      .replace(/(^|[ \t\n(])-(?=[0-9])/g, "$1minus ")
      .replace(/([0-9])a(?![a-z0-9])/g, "$1 amp")
      .replace(/([0-9])(?!point[0-9])([a-z])/g, "$1 $2"));
  }

  function facts(text) {
    var cut = spaced(text), found = [], at = 0;
    while (at < cut.length) {
      var below = cut[at] === "minus" ? 1 : 0, got = number(cut, at + below), used = got[1];
      var name = cut[at + below + used], unit = used && name !== undefined && has(UNITS, name) ? UNITS[name] : null;
      if (unit) {
        var sign = below && unit[0] === "temperature" ? "-" : "";
        found.push({ quantity: unit[0], text: sign + got[0] + " " + unit[1] });
        used += 1;
      }
      at += below + used || 1;
    }
    return found;
  }

  // The facts that may stand on the data plate: the first value of the plate that takes each.
  function plate(found, offered) {
    var result = [];
    found.forEach(function (one) {
      var value = Number(one.text.split(" ")[0]);
      var fit = (offered[one.quantity] || []).find(function (o) { return o[2] <= value && value <= o[3]; });
      if (fit && !result.some(function (other) { return other.name === fit[0]; })) {
        result.push({ name: fit[0], title: fit[1], text: one.text });
      }
    });
    return result;
  }

  Sparkgap.intake = { rank: rank, prepare: prepare, words: words, stem: stem, facts: facts };
})();
