// The causes of a symptom with their shares as bars, and the minutes at the unit that each would take. Elements only.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, percent } = Sparkgap;
  const LISTED = 8;
  const gauges = new Map();
  const list = h("ol", { class: "gauges" });
  const rest = h("details", {});
  const panel = h("section", { class: "panel" }, h("h2", {}, "What it can be"), list, rest);

  function ranked(belief) {
    return Object.keys(belief).sort((a, b) => belief[b] - belief[a] || (a < b ? -1 : 1));
  }

  function gauge(name, context) {
    if (gauges.has(name)) return gauges.get(name);
    const fill = h("div", { class: "fill" });
    const was = h("div", { class: "was", title: "Before any check" });
    const number = h("span", { class: "num" });
    const stay = h("small", { class: "stay" });
    const fault = context.view.faults[name];
    const label = fault ? h("a", { href: fault.url }, fault.title) : h("span", {}, context.words.faults[name]);
    const element = h("li", { class: "gauge" + (fault ? "" : " plain"), "data-cause": name },
      h("div", { class: "line" }, label, number),
      h("div", { class: "line" }, h("div", { class: "track", "aria-hidden": "true" }, fill, was), stay));
    fill.style.transform = "scaleX(0)";
    gauges.set(name, { element, fill, was, number, stay });
    return gauges.get(name);
  }

  function moved(now, before) {
    const change = Math.round((now - before) * 100);
    if (!change) return "";
    return h("span", { class: "moved " + (change > 0 ? "up" : "down") }, (change > 0 ? "▲ " : "▼ ") + Math.abs(change));
  }

  /* Draw the shares: context.result.belief against the last one (before) and that before any check (prior). */
  function show(context, before, prior) {
    const belief = context.result.belief;
    const order = ranked(belief);
    const large = order.slice(0, LISTED);
    const small = order.slice(LISTED);
    list.replaceChildren(...large.map((name) => gauge(name, context).element));
    rest.hidden = !small.length;
    const share = small.reduce((total, name) => total + belief[name], 0);
    rest.replaceChildren(h("summary", {}, small.length + " more, together " + percent(share)),
      h("ul", { class: "gauges" }, small.map((name) => gauge(name, context).element)));
    void list.offsetWidth; // moving an element ends its transition: let it begin again from the old share
    order.forEach((name, n) => {
      const { element, fill, was, number } = gauge(name, context);
      element.classList.toggle("lead", n === 0 && belief[name] >= 0.5 && Boolean(context.view.faults[name]));
      fill.style.transform = "scaleX(" + belief[name] + ")";
      was.style.left = "calc(" + (prior[name] || 0) * 100 + "% - 1px)";
      number.replaceChildren(before ? moved(belief[name], before[name] || 0) : "", percent(belief[name]));
    });
  }

  /* The minutes to a proved repair if it is this cause; nothing where none is seen, or before they are worked out. */
  function minutes(told) {
    for (const [name, { stay }] of gauges) {
      const course = told && told.courses[name];
      stay.textContent = course && course.end === "proved" ? Math.floor(course.minutes + 0.5) + " min" : "";
    }
  }

  Sparkgap.guideCauses = { panel, ranked, show, minutes };
})();
