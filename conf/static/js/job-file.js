// Job files: what is read, what is refused and in which words. The same verdicts as sparkgap/jobs/file.py, held together
// by tests/vectors/jobs.json. A file may come from anywhere: it is data, refused whole when it does not fit. No DOM.
// Needs job-format.js, which is written from schema/job.schema.json.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  const FORMAT = "sparkgap-job";
  const VERSION = 1;
  const MAX_BYTES = 8 * 1024 * 1024;
  const SHOWN = 20;
  const ENOUGH = 500; // so many problems are looked for
  const STEPS = {}; // from each version the step to the next one; version 1 is the first

  class JobRefused extends Error {
    constructor(...lines) {
      super(lines.join("\n"));
      this.lines = lines;
    }
  }

  function short(value, limit = 60) {
    const text = typeof value === "string" ? value : JSON.stringify(value) || String(value);
    return text.length <= limit ? text : text.slice(0, limit - 1) + "…";
  }

  function kindOf(value) {
    if (value === null) return "null";
    if (Array.isArray(value)) return "array";
    return typeof value;
  }

  const TYPES = {
    object: (value) => kindOf(value) === "object",
    array: Array.isArray,
    string: (value) => typeof value === "string",
    number: (value) => typeof value === "number" && Number.isFinite(value),
    integer: Number.isInteger,
    boolean: (value) => typeof value === "boolean",
    null: (value) => value === null,
  };
  const NAMES = { object: "a mapping", array: "a list", string: "text", number: "a number", integer: "a whole number",
    boolean: "true or false", null: "null" };

  function longer(text, limit) {
    return text.length > limit && [...text].length > limit;
  }

  /* The words of JSON Schema that the format uses: each says what is wrong, or nothing. */
  const WORDS = {
    type: (type, value) => TYPES[type](value) ? "" : "must be " + NAMES[type],
    const: (wanted, value) => value === wanted ? "" : "must be " + JSON.stringify(wanted),
    enum: (list, value) => list.includes(value) ? "" : short(value) + " is none of " + list.join(", "),
    pattern: (pattern, value) => typeof value !== "string" || new RegExp(pattern, "u").test(value) ? ""
      : short(value) + " is not written as it must be",
    minLength: (limit, value) => typeof value === "string" && !longer(value, limit - 1) ? "is too short" : "",
    maxLength: (limit, value) => typeof value === "string" && longer(value, limit) ? "is longer than " + limit + " characters" : "",
    minimum: (limit, value) => typeof value === "number" && !(value >= limit) ? "must be " + limit + " or more" : "",
    maximum: (limit, value) => typeof value === "number" && !(value <= limit) ? "must be " + limit + " or less" : "",
    exclusiveMinimum: (limit, value) => typeof value === "number" && !(value > limit) ? "must be more than " + limit : "",
    minItems: (limit, value) => Array.isArray(value) && value.length < limit ? "must have " + limit + " entries or more" : "",
    maxItems: (limit, value) => Array.isArray(value) && value.length > limit ? "has more than " + limit + " entries" : "",
    minProperties: (limit, value) => TYPES.object(value) && Object.keys(value).length < limit ? "must have " + limit + " entries or more" : "",
    maxProperties: (limit, value) => TYPES.object(value) && Object.keys(value).length > limit ? "has more than " + limit + " entries" : "",
    uniqueItems: (wanted, value) => wanted && Array.isArray(value) && new Set(value.map((one) => JSON.stringify(one))).size < value.length
      ? "an entry stands in the list twice" : "",
  };
  /* The words that lead into the parts of a value. */
  const INTO = {
    required(names, value, at, run) {
      if (!TYPES.object(value)) return;
      for (const name of names) if (!Object.hasOwn(value, name)) run.tell(at, "the key '" + name + "' is missing", run.schema);
    },
    properties(named, value, at, run) {
      if (!TYPES.object(value)) return;
      for (const name of Object.keys(named)) if (Object.hasOwn(value, name)) run.check(named[name], value[name], [...at, name]);
    },
    additionalProperties(rest, value, at, run) {
      if (!TYPES.object(value)) return;
      const named = run.schema.properties || {};
      for (const name of Object.keys(value)) {
        if (Object.hasOwn(named, name)) continue;
        if (rest === false) run.tell(at, "unknown key '" + short(name) + "'", run.schema);
        else run.check(rest, value[name], [...at, name]);
      }
    },
    propertyNames(schema, value, at, run) {
      if (TYPES.object(value)) for (const name of Object.keys(value)) run.check(schema, name, at);
    },
    items(schema, value, at, run) {
      if (Array.isArray(value)) value.forEach((one, n) => run.check(schema, one, [...at, n]));
    },
    anyOf(forms, value, at, run) {
      const tries = forms.map((form) => run.apart(form, value, at));
      if (tries.every((wrong) => wrong.length)) run.told(closest(tries, forms, value) || [], at, value);
    },
    oneOf(forms, value, at, run) {
      const kind = TYPES.object(value) ? value.kind : undefined;
      const meant = forms.map((form) => run.resolved(form)).find((form) => form.properties && form.properties.kind && form.properties.kind.const === kind);
      if (meant) run.check(meant, value, at);
      else run.tell(at, kind === undefined ? short(value) + " is no entry" : short(kind) + " is no kind of entry", run.schema);
    },
    $ref(target, value, at, run) {
      run.check(run.resolved({ $ref: target }), value, at);
    },
  };
  const SILENT = ["$schema", "$id", "$defs", "title", "description"];

  /* Of several forms the one of the right type is explained. */
  function closest(tries, forms, value) {
    const fitting = forms.map((form, n) => [form, tries[n]]).filter(([form]) => !form.type || TYPES[form.type](value));
    return fitting.length === 1 ? fitting[0][1] : null;
  }

  class Run {
    constructor(root) {
      Object.assign(this, { root, schema: root, lines: [] });
    }

    resolved(schema) {
      return schema.$ref ? this.root.$defs[schema.$ref.split("/").pop()] : schema;
    }

    tell(at, says, schema) {
      const described = schema && schema.description ? " (" + schema.description + ")" : "";
      this.lines.push((at.map((part) => short(String(part), 40)).join(".") || "the file") + ": " + says + described);
    }

    told(lines, at, value) {
      if (lines.length) this.lines.push(...lines);
      else this.tell(at, short(value) + " does not fit", this.schema);
    }

    apart(schema, value, at) {
      const run = new Run(this.root);
      run.check(schema, value, at);
      return run.lines;
    }

    check(schema, value, at) {
      const before = this.schema;
      for (const [word, wanted] of Object.entries(schema)) {
        if (this.lines.length > ENOUGH) break;
        this.schema = schema;
        if (WORDS[word]) {
          const wrong = WORDS[word](wanted, value);
          if (wrong) this.tell(at, wrong, schema);
          if (wrong && word === "type") break;
        } else if (INTO[word]) {
          INTO[word](wanted, value, at, this);
        } else if (!SILENT.includes(word)) {
          throw new Error("the format uses a word that this page does not know: " + word);
        }
      }
      this.schema = before;
    }
  }

  function weights(at, entry) {
    let total = 0.0;
    for (const share of Object.values(entry.v)) total += share;
    if (Math.abs(total - 1.0) > 1e-6) return [at + ".v: the weights of the answers sum to " + total + " (they must sum to 1)"];
    if (entry.answer && !Object.hasOwn(entry.v, entry.answer)) return [at + ".answer: '" + entry.answer + "' has no weight in v"];
    return [];
  }

  /* What does not fit the format: where, what, and what belongs there. */
  function problems(job) {
    const run = new Run(Sparkgap.jobFormat.schema);
    run.check(run.root, job, []);
    if (run.lines.length) return run.lines;
    const lines = job.log.flatMap((entry, n) => entry.kind === "answer" ? weights("log." + n, entry) : []);
    const names = (job.photos || []).map((photo) => photo.name.toLowerCase());
    const double = [...new Set(names.filter((name, n) => names.indexOf(name) !== n))].sort();
    return lines.concat(double.map((name) => "photos: two are named '" + name + "' (rename one)"));
  }

  /* The first key that stands twice in one mapping of a sound JSON text, or null. JSON.parse would keep the last one. */
  function doubled(text) {
    const open = [];
    const parts = /"(?:[^"\\]|\\.)*"|[{}[\],:]/gs;
    let key = null;
    for (let part = parts.exec(text); part; part = parts.exec(text)) {
      const sign = part[0];
      if (sign === "{") open.push(new Set());
      else if (sign === "[") open.push(null);
      else if (sign === "}" || sign === "]") open.pop();
      else if (sign === ":") {
        const keys = open[open.length - 1];
        if (keys.has(key)) return key;
        keys.add(key);
      } else if (sign !== ",") key = sign.length < 200 ? JSON.parse(sign) : sign;
    }
    return null;
  }

  function documentOf(bytes, name) {
    let text;
    try {
      text = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    } catch {
      throw new JobRefused(name + ": not UTF-8 (export the job again)");
    }
    return read(text, name);
  }

  function read(text, name) {
    let job;
    try {
      job = JSON.parse(text);
    } catch {
      throw new JobRefused(name + ": the file is cut off or no JSON (export the job again)");
    }
    const key = doubled(text);
    if (key !== null) throw new JobRefused(name + ": the key '" + short(key) + "' stands twice");
    return job;
  }

  function upToDate(job, name) {
    if (!TYPES.object(job) || !Object.hasOwn(job, "format") || job.format !== FORMAT) {
      throw new JobRefused(name + ": not a job file (its format must be '" + FORMAT + "')");
    }
    if (!Number.isInteger(job.version) || job.version < 1) throw new JobRefused(name + ": version: must be a whole number from 1 on");
    if (job.version > VERSION) {
      throw new JobRefused(name + ": written in version " + job.version + " of the format, these pages know " + VERSION +
        " (update them, the file is untouched)");
    }
    let now = job;
    for (let version = job.version; version < VERSION; version += 1) now = STEPS[version](now);
    return now;
  }

  function sound(job, name) {
    const now = upToDate(job, name);
    const lines = problems(now);
    const more = lines.length > SHOWN ? [name + ": and " + (lines.length - SHOWN) + " more"] : [];
    if (lines.length) throw new JobRefused(...lines.slice(0, SHOWN).map((line) => name + ": " + line), ...more);
    return now;
  }

  function large(name) {
    return new JobRefused(name + ": larger than " + MAX_BYTES / 1024 / 1024 + " MB (a job file keeps small photos only)");
  }

  /* The job that the bytes of a file describe; name is what messages call it. Throws JobRefused. */
  function parse(bytes, name = "job file") {
    if (bytes.byteLength > MAX_BYTES) throw large(name);
    return sound(documentOf(bytes, name), name);
  }

  /* The job of a text that is known to be UTF-8. Throws JobRefused. */
  function parseText(text, name = "job file") {
    return sound(read(text, name), name);
  }

  Sparkgap.jobFile = { JobRefused, MAX_BYTES, large, parse, parseText, problems };
})();
