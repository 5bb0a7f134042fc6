// What to load for one unit, as lines of plain text. The same lines as sparkgap/diagnosis/truck.py, held together by
// tests/diagnosis/test_reasons.py. Pure functions; no DOM. Needs reasons.js.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  const { count, percent, QUALIFIED } = Sparkgap.reasons;
  const LEAST = 0.02;
  const CAUSES = 3;

  /* "about 130 min (114 to 161), waiting for parts besides" */
  function stay(told) {
    const [low, mean, high] = [told.low, told.minutes, told.high].map((value) => Math.floor(value + 0.5));
    const waits = Object.values(told.courses).some((one) => one.end === "proved" && one.wait > 0);
    return "about " + mean + " min" + (low !== high ? " (" + low + " to " + high + ")" : "") +
      (waits ? ", waiting for parts besides" : "");
  }

  function load(head, things, titles) {
    const listed = things.filter((one) => one.p >= LEAST).map((one) => "  " + percent(one.p) + "  " + (titles[one.id] || one.id));
    return listed.length ? ["", head, ...listed] : [];
  }

  function who(result) {
    const lines = Object.keys(QUALIFIED).sort().map((name) =>
      [QUALIFIED[name], result.needs_qualified.filter((one) => one.needs.includes(name)).length])
      .filter((pair) => pair[1]).map(([name, acts]) => "  " + name + ": " + count(acts, "act"));
    return lines.length ? ["", "Who else may be needed", ...lines] : [];
  }

  function byFirst(first) {
    return (a, b) => (a === first ? 0 : 1) - (b === first ? 0 : 1) || (a < b ? -1 : 1);
  }

  function truck(title, result, told, words) {
    const belief = result.belief;
    const ranked = Object.keys(belief).sort((a, b) => belief[b] - belief[a] || (a < b ? -1 : 1)).slice(0, CAUSES);
    const lines = ["Truck list: " + title,
      "Likeliest: " + ranked.map((name) => (words.faults[name] || name) + ", " + percent(belief[name])).join("; ")];
    if (told.minutes !== null) lines.push("At the unit: " + stay(told));
    lines.push(...load("Tools", told.tools, words.tools), ...load("Parts", told.parts, words.parts), ...who(result));
    if (result.missing.length) {
      const names = result.missing.slice().sort(byFirst(told.ask_first)).map((name) => "  " + (words.plate[name] || name));
      lines.push("", "Let the owner read off:", ...names);
    }
    return lines;
  }

  Sparkgap.truck = truck;
  Sparkgap.stay = stay;
})();
