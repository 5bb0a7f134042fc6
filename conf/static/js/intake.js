// From the owner's words to danger, symptoms and facts: the twin of tools/sparkgap/intake, same scores.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  function set(list) {
    var found = Object.create(null);
    list.split(" ").forEach(function (word) { found[word] = true; });
    return found;
  }

  var STOP = set(
    "a an and are as at be been but by can do does for from get gets got had has have i if in is it its it's just " +
    "me my of on or our so that the their them then there they this to too up us was we what when which while " +
    "who will with would you your please hello hi thanks also very really about after before because now still");
  var NEGATIONS = set(
    "no not without isn't isnt aren't arent wasn't wasnt doesn't doesnt don't dont didn't didnt can't cant cannot");
  var FILLERS = set("a an any the really actually even of");
  var ENDINGS = ["ings", "ing", "edly", "ed", "ers", "ies", "es", "s", "ly"];
  var NEAR = 0.6, FLOOR = 0.8, GAP = 4, COVER = 0.8;

  function plain(text) {
    return text.toLowerCase().replace(/\u2019/g, "'").normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
  }

  function cutWords(text) { return text.match(/[a-z0-9]+(?:'[a-z]+)?/g) || []; }

  function words(text) { return cutWords(plain(text)); }

  function clauses(text) { return plain(text).split(/[.,;:!?()\n]+/).map(cutWords); }

  function stem(word) {
    for (var i = 0; i < ENDINGS.length; i++) {
      var ending = ENDINGS[i];
      if (word.endsWith(ending) && word.length - ending.length >= 3) {
        word = word.slice(0, word.length - ending.length);
        break;
      }
    }
    var last = word.slice(-1);
    if (word.length > 3 && last === word.slice(-2, -1) && "aeiou".indexOf(last) < 0) word = word.slice(0, -1);
    return word.length > 4 && word.endsWith("e") ? word.slice(0, -1) : word;
  }

  function terms(text) {
    return words(text).filter(function (word) { return !(word in STOP); }).map(stem);
  }

  function grams(word) {
    var marked = "<" + word + ">", seen = {};
    for (var i = 0; i < marked.length - 1; i++) seen[marked.slice(i, i + 2)] = true;
    return Object.keys(seen).sort();
  }

  function has(object, key) { return Object.prototype.hasOwnProperty.call(object, key); }

  function unique(list) {
    var seen = Object.create(null);
    return list.filter(function (item) {
      if (item in seen) return false;
      seen[item] = true;
      return true;
    });
  }

  var LETTERS = Object.create(null);

  // Each word as the known term that it means; a word is looked up once however often it is said.
  function allSpelled(cut, known) {
    var letters = [], meant = Object.create(null);
    known.forEach(function (term) {
      if (term.indexOf(" ") < 0) letters.push([term, LETTERS[term] || (LETTERS[term] = grams(term))]);
    });
    return cut.map(function (word) { return meant[word] || (meant[word] = spelled(word, letters)); });
  }

  function spelled(word, letters) {
    if (word.length < 4 || letters.some(function (one) { return one[0] === word; })) return [word, 1];
    var mine = grams(word), best = "", share = 0;
    letters.forEach(function (one) {
      var term = one[0], theirs = one[1], common = 0;
      if (Math.abs(term.length - word.length) > 2) return;
      mine.forEach(function (gram) { if (theirs.indexOf(gram) >= 0) common += 1; });
      var alike = (2 * common) / (mine.length + theirs.length);
      if (alike >= NEAR && (alike > share || (alike === share && term < best))) { best = term; share = alike; }
    });
    return [best, share];
  }

  function symptoms(cut, index) {
    var known = index.terms, alike = Object.create(null), scores = Object.create(null), because = Object.create(null);
    var found = allSpelled(cut, Object.keys(known));
    found.forEach(function (pair) { alike[pair[0]] = pair[1]; });
    var pairs = [];
    for (var i = 0; i + 1 < found.length; i++) pairs.push(found[i][0] + " " + found[i + 1][0]);
    var single = found.map(function (pair) { return pair[0]; }).filter(function (word) { return word; });
    unique(single).concat(unique(pairs)).forEach(function (term) {
      if (!has(known, term)) return;
      Object.keys(known[term]).forEach(function (name) {
        scores[name] = (scores[name] || 0) + known[term][name] * (term in alike ? alike[term] : 1);
        (because[name] = because[name] || []).push(term);
      });
    });
    return Object.keys(scores)
      .filter(function (name) { return scores[name] >= FLOOR; })
      .sort(function (a, b) { return scores[b] - scores[a] || (a < b ? -1 : 1); })
      .map(function (name) {
        var one = index.symptoms[name];
        return { id: name, title: one.title, url: one.url, score: scores[name], because: because[name] };
      });
  }

  // For each word of a clause whether it is denied: "no smell", "isn't any smell".
  function denied(part) {
    var negated = false;
    return part.map(function (word) {
      var before = negated;
      negated = word in NEGATIONS || (negated && word in FILLERS);
      return before;
    });
  }

  // The words, those that are in no list respelled as the danger word that they are near.
  function heard(cut, index) {
    var known = Object.create(null);
    Object.keys(index.emergencies).forEach(function (name) {
      index.emergencies[name].phrases.forEach(function (phrase) {
        phrase.terms.forEach(function (term) { known[term[0]] = true; });
      });
    });
    var strange = cut.filter(function (word) { return !(word in known) && !has(index.terms, word); });
    var meant = Object.create(null);
    allSpelled(strange, Object.keys(known)).forEach(function (pair, i) { meant[strange[i]] = pair[0]; });
    return cut.map(function (word) { return meant[word] || word; });
  }

  // Whether enough of a phrase is said, near together, in any order, and not denied just before.
  function said(phrase, cut, no) {
    var whole = 0;
    phrase.forEach(function (term) { whole += term[1]; });
    return cut.some(function (word, start) {
      if (no[start] || !phrase.some(function (term) { return term[0] === word; })) return false;
      var nearby = cut.slice(start, start + phrase.length + GAP), weight = 0, count = 0;
      phrase.forEach(function (term) {
        if (nearby.indexOf(term[0]) >= 0) { weight += term[1]; count += 1; }
      });
      return count >= Math.min(2, phrase.length) && weight >= COVER * whole;
    });
  }

  function emergencies(parts, index) {
    var cut = [], no = [], found = [];
    parts.forEach(function (part) {
      cut = cut.concat(part.map(stem));
      no = no.concat(denied(part));
    });
    cut = heard(cut, index);
    Object.keys(index.emergencies).forEach(function (name) {
      var one = index.emergencies[name];
      var phrase = one.phrases.find(function (p) { return said(p.terms, cut, no); });
      if (phrase) {
        found.push({ id: name, title: one.title, now: one.now, call: one.call, because: phrase.said,
          url: "kb/stop.html#emergency-" + name });
      }
    });
    return found;
  }

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
    return cutWords(plain(text)
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

  function rank(text, index) {
    return { complaint: text, emergencies: emergencies(clauses(text), index), symptoms: symptoms(terms(text), index),
      facts: facts(text) };
  }

  Sparkgap.intake = { rank: rank, terms: terms, facts: facts };
})();
