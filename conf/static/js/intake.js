// From the owner's words to danger, symptoms and facts: the twin of tools/sparkgap/intake, same scores.
(function () {
  "use strict";
  var Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  var STOP = {};
  ("a an and are as at be been but by can do does for from get gets got had has have i if in is it its it's just " +
    "me my of on or our so that the their them then there they this to too up us was we what when which while " +
    "who will with would you your please hello hi thanks also very really about after before because now still")
    .split(" ").forEach(function (word) { STOP[word] = true; });
  var NEGATIONS = ["no", "not", "never", "without", "isn't", "doesn't", "don't", "didn't", "can't", "cannot", "won't"];
  var ENDINGS = ["ings", "ing", "edly", "ed", "ers", "ies", "es", "s", "ly"];
  var NEAR = 0.6, FLOOR = 0.8, GAP = 4;

  function words(text) {
    var plain = text.toLowerCase().replace(/\u2019/g, "'").normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
    return plain.match(/[a-z0-9]+(?:'[a-z]+)?/g) || [];
  }

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
    return words(text).filter(function (word) { return !STOP[word]; }).map(stem);
  }

  function grams(word) {
    var marked = "<" + word + ">", seen = {};
    for (var i = 0; i < marked.length - 1; i++) seen[marked.slice(i, i + 2)] = true;
    return Object.keys(seen).sort();
  }

  function has(object, key) { return Object.prototype.hasOwnProperty.call(object, key); }

  function unique(list) {
    var seen = {};
    return list.filter(function (item) {
      if (has(seen, item)) return false;
      seen[item] = true;
      return true;
    });
  }

  function spelled(word, known) {
    if (has(known, word) || word.length < 4) return [word, 1];
    var mine = grams(word), best = "", share = 0;
    Object.keys(known).forEach(function (term) {
      if (term.indexOf(" ") >= 0 || Math.abs(term.length - word.length) > 2) return;
      var theirs = grams(term), common = 0;
      mine.forEach(function (gram) { if (theirs.indexOf(gram) >= 0) common += 1; });
      var alike = (2 * common) / (mine.length + theirs.length);
      if (alike >= NEAR && alike > share) { best = term; share = alike; }
    });
    return [best, share];
  }

  function symptoms(cut, index) {
    var known = index.terms, alike = {}, scores = {}, because = {};
    var found = cut.map(function (word) { return spelled(word, known); });
    found.forEach(function (pair) { alike[pair[0]] = pair[1]; });
    var pairs = [];
    for (var i = 0; i + 1 < found.length; i++) pairs.push(found[i][0] + " " + found[i + 1][0]);
    var single = found.map(function (pair) { return pair[0]; }).filter(function (word) { return word; });
    unique(single).concat(unique(pairs)).forEach(function (term) {
      if (!has(known, term)) return;
      Object.keys(known[term]).forEach(function (name) {
        scores[name] = (scores[name] || 0) + known[term][name] * (has(alike, term) ? alike[term] : 1);
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

  function saidFrom(phrase, stems, cut, start) {
    var at = start;
    for (var i = 1; i < phrase.length; i++) {
      var nearby = stems.slice(at + 1, at + 2 + GAP), step = nearby.indexOf(phrase[i]);
      if (step < 0) return false;
      at += 1 + step;
    }
    return !cut.slice(Math.max(0, start - 2), start).some(function (word) { return NEGATIONS.indexOf(word) >= 0; });
  }

  function said(phrase, cut) {
    var stems = cut.map(stem);
    return stems.some(function (word, start) { return word === phrase[0] && saidFrom(phrase, stems, cut, start); });
  }

  function emergencies(cut, index) {
    var found = [];
    Object.keys(index.emergencies).forEach(function (name) {
      var one = index.emergencies[name];
      var phrase = one.phrases.find(function (p) { return said(p, cut); });
      if (phrase) {
        found.push({ id: name, title: one.title, now: one.now, call: one.call, because: phrase.join(" "),
          url: "kb/stop.html#emergency-" + name });
      }
    });
    return found;
  }

  var UNITS = {}, VALUES = {};
  [["minute minutes min mins", "duration", "min"], ["second seconds sec secs", "duration", "s"],
    ["hour hours hr hrs", "duration", "h"], ["gallon gallons gal", "volume", "gal"],
    ["volt volts v", "voltage", "V"], ["amp amps a", "current", "A"], ["degree degrees f", "temperature", "degF"],
    ["btu btus", "power", "Btu/h"], ["psi", "gauge-pressure", "psi"], ["watt watts w", "power", "W"]]
    .forEach(function (row) {
      row[0].split(" ").forEach(function (word) { UNITS[word] = [row[1], row[2]]; });
    });
  var ONES = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen " +
    "seventeen eighteen nineteen").split(" ");
  var TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split(" ");
  ONES.forEach(function (word, i) { VALUES[word] = i; });
  TENS.forEach(function (word, i) { VALUES[word] = 10 * (i + 2); });

  function number(cut, at) {
    var word = cut[at].replace(/point/g, ".");
    if (/^\d+(?:\.\d+)?$/.test(word)) return [word, 1];
    if (!has(VALUES, word)) return ["", 0];
    var following = at + 1 < cut.length ? cut[at + 1] : "";
    if (TENS.indexOf(word) >= 0 && ONES.indexOf(following) >= 1 && ONES.indexOf(following) <= 9) {
      return [String(VALUES[word] + VALUES[following]), 2];
    }
    return [String(VALUES[word]), 1];
  }

  function facts(text) {
    var spaced = text.toLowerCase().replace(/,/g, "").replace(/(\d)\.(\d)/g, "$1point$2");
    var cut = words(spaced.replace(/(\d)(?!\d|point)([a-z])/g, "$1 $2")), found = [], at = 0;
    while (at < cut.length) {
      var got = number(cut, at), used = got[1];
      if (used && at + used < cut.length && has(UNITS, cut[at + used])) {
        var unit = UNITS[cut[at + used]];
        found.push({ quantity: unit[0], text: got[0] + " " + unit[1] });
        used += 1;
      }
      at += used || 1;
    }
    return found;
  }

  function rank(text, index) {
    return { complaint: text, emergencies: emergencies(words(text), index), symptoms: symptoms(terms(text), index),
      facts: facts(text) };
  }

  Sparkgap.intake = { rank: rank, terms: terms, facts: facts };
})();
