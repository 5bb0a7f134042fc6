// The cards of the guide: the next act with its gates, and the side panels. Elements only; guide.js holds the state.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, data, percent } = Sparkgap;

  const NAMED = 0.1; // a lead with a smaller share is not named beside an answer

  function minutes(value) {
    if (value >= 120) return Math.round(value / 6) / 10 + " h";
    return Math.max(1, Math.round(value)) + " min";
  }

  /* The minutes at the unit; what a part costs and waits is told where the part stands. */
  function own(option, acts) {
    return minutes(option.cost - (acts[option.id].part_minutes || 0));
  }

  function chips(act, option, acts) {
    const who = act.who.length ? act.who.map((name) => data.qualifications[name]).join(" + ") : "Anyone";
    return h("ul", { class: "chips" }, h("li", { class: "chip" }, option ? own(option, acts) : act.minutes),
      h("li", { class: "chip chip-tier tier-" + act.tier }, data.tiers[act.tier]), h("li", { class: "chip" }, who));
  }

  function head(kind, act, option, { acts }) {
    return h("header", { class: "act-head" }, h("span", { class: "kind" }, kind), chips(act, option, acts));
  }

  function told(act, good) {
    const rows = [["How", act.how, ""], ["Good answer", good || "", "told-good"], ["Never", act.never, "told-never"],
      ["Reach", act.reach.join(", then "), ""], ["Tools", act.tools.join(", "), ""]];
    return h("dl", { class: "told" }, rows.filter((row) => row[1]).map(([term, text, name]) =>
      h("div", { class: name }, h("dt", {}, term), h("dd", {}, text))));
  }

  /* Gates not yet passed hold the act back. on.pass(id), and on.unpass(id) where it can be taken back. */
  function gates(asked, view, held, on, label = "Safety gates before this step") {
    if (!asked.length) return null;
    return h("ul", { class: "gate-list", "aria-label": label }, asked.map((id) => {
      const gate = view.gates[id];
      const passed = held.has(id);
      const otherwise = h("p", { class: "failed", hidden: true, role: "alert" }, "Not done then. " + gate.otherwise);
      const no = h("button", { type: "button", class: "quiet", onclick: () => { otherwise.hidden = false; } }, "Does not hold");
      const yes = h("button", { type: "button", "data-pass": id, onclick: () => on.pass(id) }, "Holds");
      const back = on.unpass ? h("button", { type: "button", class: "quiet", onclick: () => on.unpass(id) }, "Take back") : "";
      if (passed) return h("li", { class: "held", "data-gate": id }, h("b", {}, "✓ " + gate.title), back);
      return h("li", { "data-gate": id }, h("b", {}, gate.title), h("p", {}, gate.says), gate.how ? h("p", { class: "note" }, gate.how) : "",
        h("div", { class: "row" }, yes, no), otherwise);
    }));
  }

  function gatesOf(act, site) {
    return Sparkgap.gates.needed(act, site.open);
  }

  function choice(check, id, option, { view, words, on }, gid) {
    const answer = check.answers[id];
    const outlook = option && option.answers && option.answers[id];
    const lead = outlook && !answer.blocks && outlook.share >= NAMED ? words.faults[outlook.lead] + " " + percent(outlook.share) : "";
    return h("button", { type: "button", class: "choice" + (id === check.clear ? " good" : ""), "data-choice": id, onclick: () => on.answer(gid, id) },
      h("span", {}, answer.says), h("small", {}, answer.blocks ? h("b", {}, "To be put right before anything else") : "", h("span", {}, lead),
        answer.blocks ? "" : h("span", { class: "then" })));
  }

  /* What would come next after each answer, once it is worked out. */
  function then(card, told, { view }) {
    const titles = { check: (id) => view.checks[id].title, remedy: (id) => view.remedies[id].title,
      call: () => "stop, or call", normal: () => "hand it back as normal" };
    if (!told || !told.then.check || told.then.check !== card.dataset.next) return;
    for (const button of card.querySelectorAll("[data-choice]")) {
      const next = told.then.answers[button.dataset.choice];
      const place = button.querySelector(".then");
      if (next && place) place.textContent = "next: " + titles[next.kind](next.id);
    }
  }

  function measured(check, use) {
    let latest = null;
    const button = h("button", { type: "button", class: "primary", disabled: true, "data-use": "", onclick: () => use(latest) },
      "Use this reading");
    const form = Sparkgap.reading.form(check.measure, (result, text) => {
      latest = result ? { result, text } : null;
      button.disabled = !result;
    });
    return h("div", {}, form, button);
  }

  function asked(gid, check, option, context) {
    const buttons = Object.keys(check.answers).map((id) => choice(check, id, option, context, gid));
    const plain = h("div", { class: "choices" }, buttons);
    if (!check.measure || !check.measure.limit) return plain;
    return h("div", {}, measured(check, (reading) => context.on.reading(gid, reading)),
      h("details", {}, h("summary", {}, "No number: only told how it was"), plain));
  }

  function reason(option, { acts, result, words }) {
    return option ? h("p", { class: "because" }, Sparkgap.reasons.reason(option, acts, result, words)) : "";
  }

  /* What was answered and bars all else until it is put right. */
  function barred(gid, context) {
    return h("div", { class: "stop-box", role: "alert" }, h("b", {}, "Put this right first, then answer again"),
      h("p", {}, Sparkgap.guideFound.answered(gid, context)));
  }

  function check(gid, option, context) {
    const { view, site, on } = context;
    const one = view.checks[gid];
    const blocked = site.lacking(one).length > 0;
    const again = Boolean(option && option.again);
    const answers = asked(gid, one, option, context);
    if (blocked) answers.querySelectorAll("button, input, select").forEach((control) => { control.disabled = true; });
    return h("section", { class: "panel next tier-" + one.tier, "data-next": gid },
      head(again ? "Put right, then answer again" : option ? "Next check" : "Asked again", one, option, context),
      h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, one.ask), again ? barred(gid, context) : "",
      one.why ? h("p", { class: "why" }, one.why) : "", reason(option, context),
      gates(gatesOf(one, site), view, site.held, on), told(one, one.good),
      blocked ? h("p", { class: "warn-box" }, "Pass the gates first. The answers open when they hold.") : "", answers,
      h("label", { class: "tick" }, h("input", { type: "checkbox", id: "sg-hearsay" }), "Told by somebody, not seen by me"),
      h("div", { class: "row" }, h("button", { type: "button", class: "quiet", id: "sg-aside", onclick: () => on.aside(gid) }, "Cannot do this now"),
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
  function proofOf(proof, gid, { view, proofGates, on }) {
    return h("div", {}, h("p", {}, h("b", {}, "Proof: "), h("a", { href: proof.url }, proof.ask)),
      proof.gates.length ? h("p", { class: "note" }, "When the repair is done and before the proof:") : "",
      gates(proof.gates, view, proofGates, { pass: (id) => on.passForProof(id, gid) }, "Safety gates before the proof"));
  }

  function remedy(gid, option, context) {
    const { view, result, site, proofGates, phone, on } = context;
    const one = view.remedies[gid];
    const proof = view.checks[one.proof];
    const blocked = site.lacking(one).length > 0 || Boolean(proof) && proof.gates.some((gate) => !proofGates.has(gate));
    const share = one.ends.reduce((total, fault) => total + (result.belief[fault] || 0), 0);
    const ended = one.ends.filter((fault) => view.faults[fault]);
    const causes = ended.flatMap((fault) => view.faults[fault].causes);
    return h("section", { class: "panel next tier-" + one.tier, "data-next": gid },
      head(phone ? "Let the owner do this" : "Next: repair", one, option, context),
      h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, one.title),
      h("p", {}, "Ends ", ended.map((fault, n) => [n ? ", " : "", h("a", { href: view.faults[fault].url }, view.faults[fault].title)]),
        ", together " + percent(share) + " of the likely causes."),
      one.why ? h("p", { class: "why" }, one.why) : "", reason(option, context),
      causes.length ? h("div", { class: "warn-box" }, h("b", {}, "Find what destroyed it, or the new part goes the same way"),
        h("ul", {}, causes.map(([title, text]) => h("li", {}, title + ": " + text)))) : "",
      gates(gatesOf(one, site), view, site.held, on), told(one, ""), one.part ? fitting(one.part) : "",
      proof ? proofOf(proof, gid, context) : "",
      h("div", { class: "choices" },
        h("button", { type: "button", class: "choice good", disabled: blocked, "data-done": "", onclick: () => on.add({ kind: "done", id: gid }) }, "Done, and the proof passed"),
        h("button", { type: "button", class: "choice", disabled: blocked, "data-failed": "", onclick: () => on.add({ kind: "failed", id: gid }) }, "Done, but it still fails")),
      h("div", { class: "row" }, h("button", { type: "button", class: "quiet", id: "sg-aside", onclick: () => on.aside(gid) }, "Cannot do this now"),
        card(one, context)));
  }

  Sparkgap.guideCards = { check, remedy, card, then, gates, gatesOf, measured, asked, told, reason, minutes };
})();
