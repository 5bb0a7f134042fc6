// The guide while the owner is on the phone: what to say, only what an owner may do, and what to load at the end.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, data, percent } = Sparkgap;
  const LEAST = 0.02; // as in truck.js

  // ---- the question, as it is said ----

  /* A check in the owner's words. Every answer counts as told. */
  function ask(gid, option, context) {
    const { view, site, on } = context;
    const one = view.checks[gid];
    const { gates, gatesOf, asked, told, reason } = Sparkgap.guideCards;
    const blocked = site.lacking(one).length > 0;
    const answers = asked(gid, one, option, context);
    if (blocked) answers.querySelectorAll("button, input, select").forEach((control) => { control.disabled = true; });
    const list = gates(gatesOf(one, site), view, site.held, on, "Ask first, before this");
    return h("section", { class: "panel next phone-card tier-" + one.tier, "data-next": gid },
      h("span", { class: "kind" }, option && option.again ? "Put right, then ask again" : "Say to the owner"),
      h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, "“" + (one.ask_owner || one.ask) + "”"),
      one.never ? h("p", { class: "told-never" }, h("b", {}, "Never: "), one.never) : "", list || "",
      blocked ? h("p", { class: "warn-box" }, "Let the owner say that these hold. The answers open then.") : "", answers,
      reason(option, context),
      h("details", {}, h("summary", {}, "How it is done, and why"), h("p", {}, one.why), told({ ...one, never: "" }, one.good)),
      h("div", { class: "row" }, h("button", { type: "button", class: "quiet", id: "sg-aside", onclick: () => on.aside(gid) }, "The owner cannot say"),
        h("button", { type: "button", class: "quiet", id: "sg-to-truck", onclick: () => on.choose("truck") }, "End the talk: what to load")));
  }

  // ---- what to load ----

  function column(title, things, titles) {
    const listed = things.filter((one) => one.p >= LEAST);
    return h("section", {}, h("h3", {}, title), listed.length ? h("ul", { class: "load" }, listed.map((one) =>
      h("li", { "data-load": one.id }, h("b", {}, percent(one.p)), h("span", {}, titles[one.id] || one.id)))) : h("p", { class: "note" }, "None."));
  }

  function unknown({ result, sm }) {
    const names = result.missing.filter((name) => data.plate[name])
      .sort((a, b) => (a === sm.ask_first ? 0 : 1) - (b === sm.ask_first ? 0 : 1) || (a < b ? -1 : 1));
    if (!names.length) return "";
    return h("section", {}, h("h3", {}, "Let the owner read off"), h("ul", {}, names.map((name) =>
      h("li", {}, h("b", {}, data.plate[name].title), ": " + data.plate[name].where))));
  }

  function copy(area, said) {
    area.closest("details").open = true;
    area.select();
    const old = () => { said.textContent = document.execCommand("copy") ? "Copied." : "Select the text and copy it."; };
    if (!navigator.clipboard) return old();
    return navigator.clipboard.writeText(area.value).then(() => { said.textContent = "Copied."; }, old);
  }

  /* Printing leaves out all of the page but the list. */
  function print() {
    document.documentElement.dataset.print = "truck";
    window.addEventListener("afterprint", () => { delete document.documentElement.dataset.print; }, { once: true });
    window.print();
  }

  function stay(told) {
    return told.minutes === null ? "" : h("p", { class: "why" }, "At the unit: " + Sparkgap.stay(told) + ".");
  }

  /* The truck list for who will come: context.coming is the guide's result and outlook for them; null while worked out. */
  function truck(context, id) {
    const { coming, view, words, on, result } = context;
    const card = h("section", { class: "panel next truck", "data-next": id }, h("span", { class: "kind" }, "What to load"),
      h("h2", { class: "ask", id: "sg-ask", tabindex: "-1" }, "Truck list: " + view.title));
    if (!coming) {
      card.append(h("p", {}, "Working it out …"));
      return card;
    }
    const lines = Sparkgap.truck(view.title, coming.result, coming.told, words);
    const area = h("textarea", { id: "sg-truck-text", readonly: true, rows: String(lines.length + 1), value: lines.join("\n") + "\n" });
    const said = h("span", { role: "status" });
    card.append(h("p", { class: "why" }, lines[1] + "."), stay(coming.told),
      h("div", { class: "truck-columns" }, column("Tools", coming.told.tools, words.tools), column("Parts", coming.told.parts, words.parts)),
      unknown({ result: coming.result, sm: context.sm }),
      id === "call" ? h("p", { class: "note" }, "What is left is not worth its minutes on the phone, or is not for an owner. Say: leave the unit off until somebody comes.") : "",
      h("div", { class: "row no-print" }, h("button", { type: "button", class: "primary", onclick: print }, "Print"),
        h("button", { type: "button", id: "sg-truck-copy", onclick: () => copy(area, said) }, "Copy as text"), said,
        id === "truck" && result.next.some((one) => one.kind === "check")
          ? h("button", { type: "button", class: "quiet", onclick: () => on.choose("") }, "Back to the questions") : ""),
      h("details", { class: "no-print" }, h("summary", {}, "As text"), area));
    return card;
  }

  Sparkgap.guideOwner = { ask, truck };
})();
