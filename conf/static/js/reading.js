// Readings judged in place: number, unit and instrument in; below, within, above or too close to call out.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, quantities, verdict, plate, data } = Sparkgap;
  const SAYS = { below: "Below the limit", within: "Within the limit", above: "Above the limit",
    "too-close": "Too close to call with this tool" };

  function instruments(quantity) {
    return Object.keys(data.tools).filter((id) => data.tools[id].quantity === quantity);
  }

  function unitSelect(quantity, chosen) {
    const units = quantities.units(quantity);
    if (!units.length) return null;
    return h("select", { "aria-label": "Unit", "data-part": "unit" },
      units.map((unit) => h("option", { value: unit.id, selected: unit.id === chosen }, unit.label)));
  }

  function toolSelect(reading) {
    const options = instruments(reading.quantity).map((id) =>
      h("option", { value: id, selected: id === reading.tool }, data.tools[id].title));
    return h("label", { class: "field" }, "Read with", h("select", { "data-part": "tool" }, options,
      h("option", { value: "", selected: !data.tools[reading.tool] }, "Something else, taken as exact")));
  }

  function readingField(reading) {
    return h("div", { class: "read-row read-form", "data-name": reading.name },
      h("label", { class: "field" }, reading.title,
        h("span", { class: "with-unit" }, h("input", { "data-part": "value", inputmode: "decimal", autocomplete: "off" }),
          unitSelect(reading.quantity, reading.unit)),
        h("span", { class: "wrong", "data-part": "wrong" })),
      toolSelect(reading));
  }

  function range(tool, quantity) {
    const ends = [["from", tool.low], ["to", tool.high]].filter((end) => end[1] !== null);
    return ends.map(([word, si]) => word + " " + quantities.both(si, quantity)).join(" ");
  }

  function readField(row, reading) {
    const part = (name) => row.querySelector('[data-part="' + name + '"]');
    const text = part("value").value.trim();
    part("wrong").textContent = "";
    if (!text) return null;
    try {
      const unit = part("unit") ? part("unit").value : null;
      const found = quantities.parse(text, reading.quantity, unit);
      const tool = data.tools[part("tool").value] || null;
      const side = verdict.beyond(found.value, tool);
      if (side) {
        part("wrong").textContent = "This instrument shows " + range(tool, reading.quantity) + ". Read with another one, or answer " +
          "without a number that it is " + side + ".";
        return null;
      }
      return { value: found.value, instrument: tool, tool: part("tool").value,
        says: quantities.both(found.value, reading.quantity, { unit: found.unit || null, written: found.written }) };
    } catch (error) {
      part("wrong").textContent = error.message + (error.fix ? ": " + error.fix : "");
      return null;
    }
  }

  /* The one band for the unit in hand, or what is not known about it. */
  function bandFor(limit, values) {
    const possible = limit.bands.filter((band) => plate.holds(band.when, values) !== false);
    const sure = possible.filter((band) => plate.holds(band.when, values) === true);
    if (possible.length === 1 && sure.length === 1) return { band: possible[0], lacking: [] };
    return { band: null, possible, lacking: plate.lacking(possible.map((band) => band.when), values) };
  }

  function judge(measure, found, band) {
    const options = { safety: measure.limit.safety, source_kind: measure.limit.source_kind, conformity: data.conformity };
    if (!measure.judged) {
      const one = found[measure.readings[0].name];
      return verdict.judge(one.value, one.instrument, band.low, band.high, options);
    }
    const fixed = Object.assign({}, measure.uses.constants);
    for (const name of measure.uses.plate) fixed[name] = plate.current().values[name];
    const f = (values) => Sparkgap.judges[measure.gid](Object.assign({}, fixed, values));
    return verdict.judgeExpression(f, found, band.low, band.high, options);
  }

  function settling(measure, found, band) {
    if (measure.judged) return [];
    const reading = measure.readings[0];
    const known = Object.fromEntries(instruments(reading.quantity).map((id) => [id, data.tools[id]]));
    return verdict.settles(found[reading.name].value, known, band.low, band.high,
      { safety: measure.limit.safety, source_kind: measure.limit.source_kind, conformity: data.conformity });
  }

  function explain(measure, found, band, result) {
    const show = (si) => quantities.both(si, measure.limit.quantity);
    const lines = [h("b", {}, SAYS[result.verdict]),
      h("p", {}, "Limit for this unit: " + band.says + ". Within it with " + Sparkgap.percent(result.v_within) +
        ", below " + Sparkgap.percent(result.v_below) + ", above " + Sparkgap.percent(result.v_above) + ".")];
    if (measure.judged) lines.push(h("p", {}, measure.limit.title + ": " + show(result.value)));
    if (result.verdict === "too-close") {
      const better = settling(measure, found, band).map((id) => data.tools[id].title);
      lines.push(h("p", {}, better.length ? "This would settle it: " + better.join(", ") + "."
        : "No instrument on the list settles it here. Take it as open."));
    }
    if (result.held) lines.push(h("p", { class: "wrong" }, "Counts as not within: the unit is not handed back on this reading."));
    if (result.on_memory) {
      lines.push(h("p", {}, "The limit is recalled, not looked up: it does not settle this alone. Compare with the maker's figure."));
    }
    return lines;
  }

  /* A reading as the job keeps it: SI value, as typed, instrument. */
  function recorded(name, { value, says, tool }) {
    return { name: name.replaceAll("_", "-"), value, text: says.slice(0, 60), tool: data.tools[tool] ? tool : null };
  }

  /* A form for a measured check. told(result or null, text) is called whenever the judgement changes. */
  function form(measure, told) {
    const rows = measure.readings.map(readingField);
    const box = h("div", { class: "verdict", role: "status" }, h("p", {}, "Enter the reading."));
    const element = h("div", { class: "reading-form" }, rows, box);
    function work() {
      const found = {};
      measure.readings.forEach((reading, n) => {
        const one = readField(rows[n], reading);
        if (one) found[reading.name] = one;
      });
      show(found);
    }
    function show(found) {
      const values = plate.current().values;
      const { band, possible, lacking } = bandFor(measure.limit, values);
      const missing = measure.judged ? measure.uses.plate.filter((name) => values[name] === undefined) : [];
      box.className = "verdict";
      if (Object.keys(found).length < measure.readings.length) {
        box.replaceChildren(h("p", {}, "Enter the reading" + (measure.readings.length > 1 ? "s." : ".")));
        return told(null, "");
      }
      if (!band || missing.length) {
        const names = [...lacking, ...missing.map((name) => data.plate[name].title)];
        box.replaceChildren(h("b", {}, "Not judged: the limit depends on the unit"),
          h("p", {}, "Still to say on the data plate above: " + names.join(", ") + "."),
          h("ul", {}, (possible || []).map((one) => h("li", {}, one.for + ": " + one.says))));
        return told(null, "");
      }
      try {
        const result = judge(measure, found, band);
        box.classList.add("v-" + result.verdict);
        box.replaceChildren(...explain(measure, found, band, result));
        return told({ ...result, readings: measure.readings.map((one) => recorded(one.name, found[one.name])) },
          measure.readings.map((one) => found[one.name].says).join(", "));
      } catch (error) {
        box.replaceChildren(h("b", {}, "Not judged"), h("p", {}, error.message));
        return told(null, "");
      }
    }
    element.addEventListener("input", work);
    element.addEventListener("change", work);
    document.addEventListener("sparkgap:plate", () => { if (element.isConnected) work(); });
    return element;
  }

  function inPlace() {
    for (const place of document.querySelectorAll("[data-reading]")) {
      const measure = JSON.parse(place.dataset.reading);
      if (!measure.limit || !measure.limit.bands.some((band) => band.low !== null || band.high !== null)) continue;
      const act = place.closest(".check");
      place.append(form(measure, (result) => {
        for (const answer of act.querySelectorAll("[data-answer]")) {
          answer.classList.toggle("chosen", Boolean(result) && answer.dataset.answer === result.verdict);
        }
      }));
    }
  }

  Sparkgap.reading = { form, SAYS };
  inPlace();
})();
