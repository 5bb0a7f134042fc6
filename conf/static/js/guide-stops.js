// Where the guide ends: nothing wrong, stop or call, repaired and proved. Elements only.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, percent, job } = Sparkgap;
  const SHOWN = 0.002; // a finding that moves "normal" by less is not named for it
  const SHUT = [["gas", "off", "The gas: every cylinder valve shut, a tag on it"], ["mains", "off", "Its 120 V: the heater's breaker off"],
    ["power", "off", "Its 12 V: the heater's switch off"], ["pressure", "released", "Its water: pump off, hose shut"]];

  function head(kind, title) {
    return [h("span", { class: "kind" }, kind), h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, title)];
  }

  function said(gid, { log, view }) {
    return job.says(Sparkgap.guideFound.standing(log).find((one) => one.kind === "answer" && one.id === gid), view);
  }

  /* The findings that speak for a sound unit: without them it would be less likely. The strongest first. */
  function speaking({ sm, evidence, result }) {
    const lost = Object.keys(evidence.results).map((gid) => {
      const results = { ...evidence.results };
      delete results[gid];
      return [gid, result.belief.normal - Sparkgap.belief.belief(sm, { ...evidence, results }).normal];
    });
    return lost.filter((pair) => pair[1] > SHOWN).sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map((pair) => pair[0]);
  }

  function listed(title, rows) {
    return rows.length ? [h("h3", {}, title), h("ul", {}, rows)] : "";
  }

  function normal(option, context) {
    const { result, view } = context;
    const rows = speaking(context).map((gid) => said(gid, context));
    return h("section", { class: "panel next tier-1", "data-next": "normal" }, head("Next: hand it back", "Normal: no part is needed"),
      h("p", { class: "why" }, "What was found is what this unit should do, with " + percent(result.belief.normal || 0) + "."),
      listed("What shows it", rows.map(([ask, says]) => h("li", {}, ask + " ", h("b", {}, says)))),
      h("div", { class: "say-box" }, h("h3", {}, "Say to the owner"), h("p", {}, view.normal ||
        "The unit was checked and does what a sound one does. No part was fitted. Call again if it shows again, and note the weather, the fuel and how long it ran.")));
  }

  function shut({ sm, view }) {
    const needs = new Set(sm.checks.concat(sm.remedies).flatMap((act) => Object.entries({ ...act.requires, ...act.leaves }))
      .map(([name]) => name));
    const gates = Object.values(view.gates).flatMap((gate) => Object.entries(gate.holds).map((one) => one.join(" ")));
    return SHUT.filter(([name, state]) => needs.has(name) || gates.includes(name + " " + state)).map((one) => one[2]);
  }

  function whom({ result }) {
    const { QUALIFIED, count } = Sparkgap.reasons;
    return Object.keys(QUALIFIED).map((name) =>
      [QUALIFIED[name], result.needs_qualified.filter((one) => one.needs.includes(name)).length])
      .filter((pair) => pair[1]).map(([name, acts]) => name[0].toUpperCase() + name.slice(1) + ": " + count(acts, "act") + " can still be done");
  }

  function known({ result, words, log, view }) {
    const shares = Sparkgap.guideCauses.ranked(result.belief).slice(0, 3).map((name) => words.faults[name] + ", " + percent(result.belief[name]));
    const lines = Sparkgap.guideFound.standing(log).map((entry) => job.says(entry, view)).filter(Boolean);
    return [h("p", {}, "Likeliest so far: " + shares.join("; ") + "."),
      h("ul", {}, lines.map(([ask, says]) => h("li", {}, ask + " ", h("b", {}, says))))];
  }

  function call(option, context) {
    const { view, result, evidence } = context;
    const first = result.pending_first.filter((gid) => view.checks[gid]);
    const dangers = Sparkgap.guideCauses.ranked(result.belief).filter((name) => result.belief[name] >= 0.05 && view.faults[name] && view.faults[name].danger);
    const people = whom(context);
    if (evidence.aside.length) people.unshift("Whoever can do what was set aside: ask it again below");
    if (!people.length) people.push("The maker of the unit, or a senior technician, with what stands below");
    return h("section", { class: "panel next tier-3", "data-next": "call" }, head("Next: stop, or call", "Not sure: stop here, or call"),
      h("p", { class: "why" }, Sparkgap.reasons.reason(option, context.acts, result, context.words)),
      listed("Not settled yet", first.map((gid) => h("li", {}, view.checks[gid].ask))),
      listed("Leave shut", shut(context).map((says) => h("li", {}, says))),
      listed("Because it may be dangerous", dangers.map((name) => h("li", {}, h("b", {}, view.faults[name].title + ": "), view.faults[name].danger))),
      listed("Call", people.map((says) => h("li", {}, says))),
      h("h3", {}, "Tell them"), known(context),
      h("p", {}, h("a", { class: "act-button quiet", href: view.stop }, "Something smells, smokes or alarms: stop page")));
  }

  function done(gid, context) {
    const one = context.view.remedies[gid];
    return h("section", { class: "panel next tier-1", "data-next": "done" }, head("Proved", "Repaired and proved: " + one.title),
      h("p", { class: "done-box" }, "Record the readings and the proof on the job card before the unit is handed back."),
      one.after ? h("p", {}, one.after) : "", h("div", { class: "row" }, Sparkgap.guideCards.card(one, context)));
  }

  Sparkgap.guideStops = { normal, call, done };
})();
