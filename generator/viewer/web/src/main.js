// The page: data in, model and words out, and what happens between them.

import { Box3, Vector3 } from "three";

import { facts as readFacts, unpacked } from "./data.js";
import { find, make } from "./dom.js";
import { readGlb } from "./glb.js";
import { distance, footOn, middle, modelled, nearest } from "./lines.js";
import { Measure } from "./measure.js";
import { Model } from "./model.js";
import { Panel } from "./panel.js";
import { Stage } from "./stage.js";
import { Ticks } from "./ticks.js";
import { lengthWords } from "./words.js";

class Page {
  constructor(facts) {
    this.facts = facts;
    this.off = { kinds: new Set(), runs: new Set() };
    this.alone = null;
    this.panel = new Panel(facts, new Ticks(facts.key), {
      choose: (mark) => this.choose(mark),
      look: (marks) => this.look(marks),
      measureFrom: (mark) => this.measureFrom(mark),
      showFinding: (finding) => this.showFinding(finding),
      only: (marks) => this.only(marks),
    });
    for (const area of document.querySelectorAll("#plan [data-mark]")) {
      area.addEventListener("click", () => this.choose(area.dataset.mark));
    }
  }

  /** With a model; without one the plan and the words stay. */
  show(glb) {
    this.stage = new Stage(find("#model"), find("#notes"));
    this.model = new Model(glb, this.facts.parts);
    this.model.hidden = (one) => this.#hidden(one);
    this.stage.use(this.model);
    this.measure = new Measure(this.stage, this.facts, { length: lengthWords(this.facts.metric) });
    this.stage.onTap = (pixel) => this.#tap(pixel);
    find("#model").addEventListener("keydown", (event) => {
      if (this.stage.key(event.key, event.shiftKey)) event.preventDefault();
    });
    this.#views();
    this.#filters();
    this.#cuts();
    find("#measure").addEventListener("click", () => this.measuring(!this.#measuring));
    find("#fit").addEventListener("click", () => this.reset());
    document.addEventListener("keydown", (event) => {
      if (event.key === "Escape") this.reset();
    });
  }

  get #measuring() {
    return find("#measure").getAttribute("aria-pressed") === "true";
  }

  #hidden(one) {
    if (this.off.kinds.has(group(one.kind)) || this.off.runs.has(one.run)) return true;
    return this.alone !== null && !this.model.sets[one.mesh].ghost && !this.alone.has(one.mark);
  }

  #say(text) {
    find("#said").textContent = text;
  }

  #tap(pixel) {
    if (this.#measuring) {
      const result = this.measure.take(pixel);
      if (result) this.#measured(result);
      return;
    }
    const hit = this.stage.pick(pixel);
    if (hit?.instance.mark) this.choose(hit.instance.mark, hit.instance.label);
    else this.reset(false);
  }

  #measured(result) {
    this.#say(result.metres === null
      ? `From ${result.name}: now tap the other thing`
      : `${result.name}: ${result.text} (level ${result.level}, plumb ${result.plumb})`);
    find("#said").dataset.mm = result.metres === null ? "" : String(result.metres * 1000);
  }

  measuring(on) {
    find("#measure").setAttribute("aria-pressed", String(on));
    this.measure.clear();
    this.#say(on ? "Tap the first thing: corners, nosings, axes and edges catch" : "");
    find("#said").dataset.mm = "";
  }

  measureFrom(mark) {
    if (!this.measure) return;
    if (!this.#measuring) this.measuring(true);
    const result = this.measure.takeAxis(mark);
    if (result) this.#measured(result);
  }

  /** A part is chosen: its facts are told and it lights up. */
  choose(mark, label = "") {
    this.panel.part(mark, label);
    if (!this.model) return;
    this.model.light([mark]);
    const box = this.stage.box(this.model.of(mark));
    this.stage.annotate([], box.isEmpty() ? [] : [{ at: top(box), text: mark }]);
  }

  look(marks) {
    if (!this.model) return;
    this.stage.look(this.stage.box(marks.flatMap((mark) => this.model.of(mark))));
  }

  /** Shows only these parts, and what stands there already. */
  only(marks) {
    if (!this.model) return;
    this.alone = new Set(marks);
    this.model.light([]);
    this.stage.annotate([], []);
    this.stage.fit();
    this.#say(`${marks.length} parts shown alone; Esc or "Whole job" shows all`);
  }

  /** Back to the whole job, nothing lit. */
  reset(fit = true) {
    this.alone = null;
    this.model.light([]);
    this.measuring(false);
    if (fit) this.stage.fit();
  }

  /** The camera goes there, the first two parts light up, and the distance is drawn. */
  showFinding(finding) {
    if (!this.model) return;
    this.alone = null;
    const marks = shown(finding.where, this.facts);
    this.model.light(marks.slice(0, 1), marks.slice(1));
    const place = this.#place(finding, marks);
    const ends = this.#stretch(finding, marks, place.getCenter(new Vector3()).toArray());
    const notes = marks.slice(0, 2).map((mark, k) =>
      ({ at: ends ? ends[k] : top(this.stage.box(this.model.of(mark))), text: mark }));
    if (finding.measure) {
      notes.push({ at: ends ? middle(...ends) : top(place), text: finding.measure, kind: "number" });
    }
    this.stage.annotate(ends && distance(...ends) > 1e-4 ? [ends] : [], notes);
    this.stage.look(place);
    find(".stage").scrollIntoView({ block: "nearest" });
    this.#say(`${finding.code}: ${finding.message}`);
  }

  /** Where to look: about the finding's point, or about the smallest of the parts it names. */
  #place(finding, marks) {
    const box = new Box3();
    if (finding.point) {
      box.expandByPoint(new Vector3(...modelled(finding.point)));
      return box.expandByScalar(0.4);
    }
    const boxes = marks.map((mark) => this.stage.box(this.model.of(mark)));
    const size = (one) => one.getSize(new Vector3()).length();
    boxes.sort((one, other) => size(one) - size(other));
    for (const one of boxes.slice(0, 2)) box.union(one);
    return box;
  }

  /** Between the axes of the first two parts, near the place; null where they have none. */
  #stretch(finding, marks, place) {
    const lines = marks.slice(0, 2).map((mark) => {
      const part = this.facts.parts[mark];
      const line = (part.nosing ?? part.axis)?.map(modelled);
      return line && [line[0], line.at(-1)];
    });
    if (lines.length < 2 || !lines[0] || !lines[1]) return null;
    const start = footOn(lines[0], place);
    const across = [start, footOn(lines[1], start)];
    const least = nearest(lines[0], lines[1]);
    return distance(...across) < distance(...least) * 1.01 ? across : least;
  }

  #views() {
    const select = find("#view");
    select.append(...this.facts.views.map(({ name }, k) => make("option", { value: k }, name)));
    select.addEventListener("change", () => {
      const view = this.facts.views[Number(select.value)];
      if (!view) return;
      const direction = modelled(view.from);
      const own = view.leg
        ? this.model.instances.filter((one) => this.facts.parts[one.mark]?.leg === view.leg && !this.model.sets[one.mesh].ghost)
        : undefined;
      this.stage.look(this.stage.box(own), direction);
      select.value = "";
    });
  }

  #filters() {
    const list = find("#show");
    const kinds = [...new Set(this.model.instances.map((one) => group(one.kind)))].sort();
    const runs = [...new Set(this.model.instances.map((one) => one.run))].filter(Boolean).sort();
    const box = (words, set, value) => {
      const input = make("input", { type: "checkbox", checked: true, "data-value": value });
      input.addEventListener("change", () => {
        if (input.checked) set.delete(value);
        else set.add(value);
        this.model.refresh();
        this.stage.draw();
      });
      return make("label", {}, input, ` ${words}`);
    };
    list.append(
      make("fieldset", {}, make("legend", {}, "Kinds of part"), ...kinds.map((kind) => box(kind, this.off.kinds, kind))),
      make("fieldset", {}, make("legend", {}, "Runs"), ...runs.map((run) => box(`run ${run}`, this.off.runs, run))));
  }

  #cuts() {
    const select = find("#cut");
    const slider = find("#cut-at");
    select.append(...this.facts.cuts.map(({ name }, k) => make("option", { value: k }, name)));
    const apply = () => {
      const cut = this.facts.cuts[Number(select.value)];
      slider.hidden = select.value === "" || !cut;
      if (slider.hidden) return this.stage.cut(null);
      const normal = modelled(cut.normal).map((c) => c * 1000);
      const { min, max } = this.stage.box();
      const corners = [min.x, max.x].flatMap((x) => [min.y, max.y].flatMap((y) => [min.z, max.z].map((z) =>
        x * normal[0] + y * normal[1] + z * normal[2])));
      const reach = Math.max(...corners) - Math.min(...corners);
      const at = Math.min(...corners) + (Number(slider.value) / 1000) * reach;
      return this.stage.cut(normal.map((c) => -c), normal.map((c) => c * at));
    };
    select.addEventListener("change", apply);
    slider.addEventListener("input", apply);
  }
}

/** The parts that marks stand for: what is fixed on a part is shown with it. */
function shown(marks, { parts, owners }) {
  const found = marks.map((mark) => (parts[mark] ? mark : owners[mark])).filter((mark) => parts[mark]);
  return [...new Set(found)];
}

/** What a person calls a kind of part when hiding it. */
function group(kind) {
  const hardware = ["fitting", "seat", "washer", "nut", "anchor", "bracket", "sleeve", "connector", "base-plate", "side-plate", "stand-off", "handrail-bracket"];
  const framing = ["joist", "rim", "blocking", "stringer", "riser", "column"];
  if (hardware.includes(kind)) return "hardware";
  if (framing.includes(kind)) return "framing";
  return { deck: "deck and floor", floor: "deck and floor", tread: "treads" }[kind] ?? `${kind}s`;
}

function top(box) {
  return [(box.min.x + box.max.x) / 2, box.max.y, (box.min.z + box.max.z) / 2];
}

async function open() {
  const page = new Page(await readFacts());
  try {
    page.show(readGlb(await unpacked("job-model")));
    document.body.classList.add("with-model");
  } catch (error) {
    find("#said").textContent = `This device cannot show the model (${error.message}); the plan and the lists are here`;
    find("#plan").hidden = false;
  }
  find("#plan-button").addEventListener("click", (event) => {
    const shown = find("#plan").hidden;
    find("#plan").hidden = !shown;
    event.currentTarget.setAttribute("aria-pressed", String(shown));
  });
  document.body.dataset.ready = "yes";
  window.stringlinePage = page;
}

open();
