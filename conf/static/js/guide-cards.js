// The cards of the guide: the next act with its gates, and the side panels. Elements only; guide.js holds the state.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, data, percent } = Sparkgap;

  function minutes(value) {
    if (value >= 120) return Math.round(value / 6) / 10 + " h";
    return Math.max(1, Math.round(value)) + " min";
  }

  function chips(act, option) {
    const who = act.who.length ? act.who.map((name) => data.qualifications[name]).join(" + ") : "Anyone";
    return h("ul", { class: "chips" }, h("li", { class: "chip" }, option ? minutes(option.cost) : act.minutes),
      h("li", { class: "chip chip-tier tier-" + act.tier }, data.tiers[act.tier]), h("li", { class: "chip" }, who));
  }

  function head(kind, act, option) {
    return h("header", { class: "act-head" }, h("span", { class: "kind" }, kind), chips(act, option));
  }

  function told(act, good) {
    const rows = [["How", act.how, ""], ["Good answer", good || "", "told-good"], ["Never", act.never, "told-never"],
      ["Reach", act.reach.join(", then "), ""], ["Tools", act.tools.join(", "), ""]];
    return h("dl", { class: "told" }, rows.filter((row) => row[1]).map(([term, text, name]) =>
      h("div", { class: name }, h("dt", {}, term), h("dd", {}, text))));
  }

  /* Gates not yet passed hold the act back. on.pass(id); on.fail(id) shows what to do instead. */
  function gates(asked, view, held, on, label = "Safety gates before this step") {
    if (!asked.length) return null;
    return h("ul", { class: "gate-list", "aria-label": label }, asked.map((id) => {
      const gate = view.gates[id];
      const passed = held.has(id);
      const otherwise = h("p", { class: "failed", hidden: true, role: "alert" }, "Not done then. " + gate.otherwise);
      const no = h("button", { type: "button", class: "quiet", onclick: () => { otherwise.hidden = false; } }, "Does not hold");
      const yes = h("button", { type: "button", "data-pass": id, onclick: () => on.pass(id) }, "Holds");
      if (passed) return h("li", { class: "held", "data-gate": id }, h("b", {}, gate.title), h("b", {}, "✓ Holds"));
      return h("li", { "data-gate": id }, h("b", {}, gate.title), h("p", {}, gate.says), gate.how ? h("p", { class: "note" }, gate.how) : "",
        h("div", { class: "row" }, yes, no), otherwise);
    }));
  }

  function gatesOf(act, site) {
    return Sparkgap.gates.needed(act, site.open);
  }

  function choice(check, id, option, view, on) {
    const answer = check.answers[id];
    const outlook = option && option.answers && option.answers[id];
    const lead = outlook && view.faults[outlook.lead];
    const hint = lead && outlook.share > 0.3 ? "then " + percent(outlook.share) + " " + lead.title : "";
    return h("button", { type: "button", class: "choice" + (id === check.clear ? " good" : ""), "data-choice": id, onclick: () => on.answer(id) },
      h("span", {}, answer.says), hint ? h("small", {}, hint) : "");
  }

  function measured(check, on) {
    let latest = null;
    const use = h("button", { type: "button", class: "primary", disabled: true, "data-use": "", onclick: () => on.reading(latest) },
      "Use this reading");
    const form = Sparkgap.reading.form(check.measure, (result, text) => {
      latest = result ? { result, text } : null;
      use.disabled = !result;
    });
    return h("div", {}, form, use);
  }

  function asked(check, option, view, on) {
    const buttons = Object.keys(check.answers).map((id) => choice(check, id, option, view, on));
    const plain = h("div", { class: "choices" }, buttons);
    if (!check.measure || !check.measure.limit) return plain;
    return h("div", {}, measured(check, on),
      h("details", {}, h("summary", {}, "No number: only told how it was"), plain));
  }

  function why(gid, option, result, view) {
    const parts = [];
    if (result.pending_first.includes(gid)) parts.push("Comes before anything is fired or energised.");
    else if (result.pending_free.includes(gid)) parts.push("Costs nothing: look and ask before opening anything.");
    const causes = Object.keys(view.faults).length;
    if (option && option.clears) parts.push("A good answer clears " + option.clears + " of " + causes + " causes.");
    return h("p", { class: "because" }, parts.join(" "));
  }

  function check(gid, option, context, on) {
    const { view, result, site } = context;
    const one = view.checks[gid];
    const blocked = site.lacking(one).length > 0;
    const answers = asked(one, option, view, on);
    if (blocked) answers.querySelectorAll("button, input, select").forEach((control) => { control.disabled = true; });
    return h("section", { class: "panel next tier-" + one.tier, "data-next": gid },
      head("Next check", one, option), h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, one.ask),
      one.why ? h("p", { class: "why" }, one.why) : "", why(gid, option, result, view),
      gates(gatesOf(one, site), view, site.held, on), told(one, one.good),
      blocked ? h("p", { class: "warn-box" }, "Pass the gates first. The answers open when they hold.") : "", answers,
      h("label", { class: "tick" }, h("input", { type: "checkbox", id: "sg-hearsay" }), "Told by somebody, not seen by me"),
      h("div", { class: "row" }, h("button", { type: "button", class: "quiet", id: "sg-aside", onclick: () => on.aside(gid) }, "Cannot do this"),
        card(one, context)));
  }

  function card(act, context) {
    return h("a", { class: "act-button quiet", href: act.procedure.url + "#found=" + context.view.symptom }, "Job card: " + act.procedure.title);
  }

  function fitting(part) {
    const values = Sparkgap.plate.current().values;
    const fits = part.fits.filter((fit) => Sparkgap.plate.holds(fit.when, values) !== false);
    const wait = (fit) => fit.wait > 0 ? (fit.wait >= 60 ? fit.wait / 60 + " h to get" : fit.wait + " min to get") : "on the truck";
    return h("div", {}, h("b", {}, "Part: "), h("a", { href: part.url }, part.title), part.count > 1 ? ", " + part.count + " of them" : "",
      h("ul", {}, fits.map((fit) => h("li", {}, fit.item + ", $" + (fit.price * part.count).toFixed(2) + ", " + wait(fit) +
        (fits.length > 1 ? " (for " + fit.for + ")" : "")))));
  }

  /* The proof fires the unit after hands were in it, so each of its gates is asked then, whatever held before. */
  function proofOf(proof, { view, proofGates }, on) {
    return h("div", {}, h("p", {}, h("b", {}, "Proof: "), h("a", { href: proof.url }, proof.ask)),
      proof.gates.length ? h("p", { class: "note" }, "When the repair is done and before the proof:") : "",
      gates(proof.gates, view, proofGates, { pass: on.passForProof }, "Safety gates before the proof"));
  }

  function remedy(gid, option, context, on) {
    const { view, result, site, proofGates } = context;
    const one = view.remedies[gid];
    const proof = view.checks[one.proof];
    const blocked = site.lacking(one).length > 0 || Boolean(proof) && proof.gates.some((gate) => !proofGates.has(gate));
    const share = one.ends.reduce((total, fault) => total + (result.belief[fault] || 0), 0);
    const ended = one.ends.filter((fault) => view.faults[fault]);
    const causes = ended.flatMap((fault) => view.faults[fault].causes);
    return h("section", { class: "panel next tier-" + one.tier, "data-next": gid },
      head("Next: repair", one, option), h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, one.title),
      h("p", {}, "Ends ", ended.map((fault, n) => [n ? ", " : "", h("a", { href: view.faults[fault].url }, view.faults[fault].title)]),
        ", together " + percent(share) + " of the likely causes."),
      one.why ? h("p", { class: "why" }, one.why) : "", why("", option, { pending_first: [], pending_free: [] }, view),
      causes.length ? h("div", { class: "warn-box" }, h("b", {}, "Find what destroyed it, or the new part goes the same way"),
        h("ul", {}, causes.map(([title, text]) => h("li", {}, title + ": " + text)))) : "",
      gates(gatesOf(one, site), view, site.held, on), told(one, ""), one.part ? fitting(one.part) : "",
      proof ? proofOf(proof, context, on) : "",
      h("div", { class: "choices" },
        h("button", { type: "button", class: "choice good", disabled: blocked, "data-done": "", onclick: () => on.done(gid) }, "Done, and the proof passed"),
        h("button", { type: "button", class: "choice", disabled: blocked, "data-failed": "", onclick: () => on.failed(gid) }, "Done, but it still fails")),
      h("div", { class: "row" }, h("button", { type: "button", class: "quiet", id: "sg-aside", onclick: () => on.aside(gid) }, "Cannot do this"),
        card(one, context)));
  }

  function stop(kind, option, context) {
    const { view, result } = context;
    if (kind === "normal") {
      return h("section", { class: "panel next", "data-next": "normal" }, h("span", { class: "kind" }, "Next: hand it back"),
        h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, "What was found is what a sound unit does"),
        h("p", { class: "why" }, "No part is needed, with " + percent(result.belief.normal || 0) + ". Say so to the owner, with the readings."));
    }
    return h("section", { class: "panel next tier-3", "data-next": "call" }, h("span", { class: "kind" }, "Next: stop, or call"),
      h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, "Nothing left here is worth its time"),
      h("p", { class: "why" }, "Leave the unit shut off and tagged, and call someone who can go further: another check, another tool, another qualification. Not sure is an honest answer."),
      h("p", {}, "What the others can still do is listed below. ", h("a", { href: view.stop }, "If anything smells, smokes or alarms: stop page.")));
  }

  function done(gid, context) {
    const one = context.view.remedies[gid];
    return h("section", { class: "panel next tier-1", "data-next": "done" }, h("span", { class: "kind" }, "Proved"),
      h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, "Repaired and proved: " + one.title),
      h("p", { class: "done-box" }, "Record the readings and the proof on the job card before the unit is handed back."),
      one.after ? h("p", {}, one.after) : "", h("div", { class: "row" }, card(one, context)));
  }

  Sparkgap.guideCards = { check, remedy, stop, done, minutes };
})();
