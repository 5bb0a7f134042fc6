// Why an act comes next, and what it takes to go another way, in plain words. The same sentences as
// sparkgap/diagnosis/reasons.py, held together by tests/diagnosis/test_reasons.py. Pure functions; no DOM.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  const NUMBERS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
  const QUALIFIED = { technician: "a technician", "gas-qualified": "someone qualified for gas",
    "electrical-qualified": "someone qualified for mains power" };
  const TIERS = ["looking and listening only", "covers off the cold unit", "the unit running or low voltage live",
    "the gas path opened or mains live"];
  const SAME = 0.5;

  function number(value) {
    return value < NUMBERS.length ? NUMBERS[value] : String(value);
  }

  function count(value, noun) {
    return number(value) + " " + noun + (value === 1 ? "" : "s");
  }

  function minutes(value) {
    return count(Math.max(1, Math.floor(value + 0.5)), "minute");
  }

  function percent(share) {
    if (share > 0 && share < 0.01) return "<1 %";
    if (share < 1 && share > 0.99) return ">99 %";
    return Math.floor(share * 100 + 0.5) + " %";
  }

  function plain(title) {
    const second = title.slice(1, 2);
    const small = second !== second.toUpperCase();
    return small ? title[0].toLowerCase() + title.slice(1) : title;
  }

  function needed(tools, words) {
    const said = tools.map((name) => plain(words.tools[name] || name));
    return said.length === 1 ? said[0] : said.slice(0, -1).join("; ") + " and " + said[said.length - 1];
  }

  function workMinutes(option, act) {
    return option.cost - (act.part_minutes || 0);
  }

  function call(option, result) {
    if (result.pending_first.length) return "What must come first is not settled, and nothing else may be done before it.";
    return "Nothing that is left here is worth its minutes; a call counts as " + Math.floor(option.cost + 0.5) + ".";
  }

  function turn(option, result) {
    if (option.again) return "Put this right first, then answer again. ";
    if (result.pending_first.includes(option.id)) return "Comes before anything is fired or energised. ";
    if (result.pending_free.includes(option.id)) return "Free: look and ask before anything is opened. ";
    return "";
  }

  function gain(option, result, words) {
    const causes = Object.keys(result.belief).filter((name) => name !== "normal" && name !== "other");
    if (option.clears) return "can clear " + number(option.clears) + " of " + count(causes.length, "cause");
    const most = Math.max(0, ...Object.values(result.belief));
    for (const name of Object.keys(option.answers).sort()) {
      const lead = option.answers[name].lead;
      if (causes.includes(lead) && result.belief[lead] < most) return "can point to " + plain(words.faults[lead] || lead);
    }
    return "";
  }

  /* One or two sentences for one ranked act; acts are those of the specialised symptom by id. */
  function reason(option, acts, result, words) {
    if (option.kind === "call") return call(option, result);
    if (option.kind === "normal") {
      return "Nothing is wrong, with " + percent(result.belief.normal || 0) + ": no part is needed.";
    }
    const act = acts[option.id];
    const told = [option.kind === "check" ? gain(option, result, words) : "ends the cause with " + percent(option.fixes),
      minutes(workMinutes(option, act)) + (option.kind === "remedy" ? " with its proof" : ""),
      act.tools.length ? "needs " + needed(act.tools, words) : "needs no tools", act.part ? "takes a part" : "",
      act.gates.length ? count(act.gates.length, "safety gate") + " first" : ""];
    const said = told.filter(Boolean).join(", ");
    return turn(option, result) + said[0].toUpperCase() + said.slice(1) + ".";
  }

  /* What another act costs against the one ranked first: more minutes, and why as a list of reasons. */
  function instead(option, best, acts, words) {
    const more = option.value - best.value;
    const act = acts[option.id];
    const other = acts[best.id];
    if (!act) return { more, why: [] };
    const base = other || { access: [], tools: [], who: [], tier: 0 };
    const why = act.access.filter((name) => !base.access.includes(name)).map((name) => "first " + plain(words.access[name]));
    if (act.tier > base.tier) why.push(TIERS[Math.trunc(act.tier)]);
    const tools = act.tools.filter((name) => !base.tools.includes(name));
    if (tools.length) why.push("needs " + needed(tools, words));
    act.who.filter((name) => name !== "technician" && !base.who.includes(name)).forEach((name) => why.push("needs " + QUALIFIED[name]));
    const longer = workMinutes(option, act) - (other ? workMinutes(best, other) : 0);
    if (longer > SAME) why.push("takes " + minutes(workMinutes(option, act)));
    if (!why.length && more > SAME) why.push("tells less for its minutes");
    return { more, why };
  }

  Sparkgap.reasons = { reason, instead, count, minutes, percent, plain, QUALIFIED, SAME };
})();
