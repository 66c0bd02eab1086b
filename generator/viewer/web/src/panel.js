// The words beside the model: the chosen part, findings, order of work, lists.

import { find, make } from "./dom.js";

const SEVERITIES = { fail: ["✕", "failure"], warn: ["!", "warning"], note: ["i", "note"] };

export class Panel {
  constructor(facts, ticks, act) {
    this.facts = facts;
    this.ticks = ticks;
    this.act = act;
    this.pages = [...document.querySelectorAll("[role=tabpanel]")];
    this.tabs = [...document.querySelectorAll("[role=tab]")];
    this.tabs.forEach((tab, number) => {
      tab.addEventListener("click", () => this.open(tab.dataset.page));
      tab.addEventListener("keydown", (event) => this.#arrows(event, number));
    });
    this.#findings();
    this.#steps();
    this.#lists();
  }

  #arrows(event, number) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const tab = this.tabs[(number + step + this.tabs.length) % this.tabs.length];
    this.open(tab.dataset.page);
    tab.focus();
  }

  open(name) {
    for (const tab of this.tabs) {
      const chosen = tab.dataset.page === name;
      tab.setAttribute("aria-selected", String(chosen));
      tab.tabIndex = chosen ? 0 : -1;
    }
    for (const page of this.pages) page.hidden = page.id !== name;
  }

  /** Shows the facts of a part, and those findings that name it. */
  part(mark, label = "") {
    const part = this.facts.parts[mark];
    const page = find("#part");
    if (!part) return;
    const rows = part.facts.map(([name, text, mm]) =>
      make("tr", {}, make("th", { scope: "row" }, name),
        make("td", mm === undefined ? {} : { "data-mm": mm }, text)));
    const found = this.facts.findings.filter((finding) => finding.where.some((one) => this.#owner(one) === mark));
    page.replaceChildren(
      make("h2", {}, `${mark}: ${part.kind.replaceAll("-", " ")}`),
      label ? make("p", {}, `You touched its ${label}.`) : "",
      make("p", { class: "row" },
        this.#button("Look at it", () => this.act.look([mark])),
        part.axis || part.nosing ? this.#button("Measure from it", () => this.act.measureFrom(mark)) : "",
        this.facts.rows[mark] ? this.#button("Show in its list", () => this.#row(mark)) : ""),
      make("table", { class: "facts" }, make("caption", {}, `Numbers of ${mark}`), make("tbody", {}, ...rows)),
      found.length ? make("h3", {}, "Findings that name it") : "",
      make("ul", { class: "plain" }, ...found.map((finding) => make("li", {}, this.#findingButton(finding)))));
    this.open("part");
  }

  #button(text, onclick) {
    return make("button", { type: "button", onclick }, text);
  }

  #marks(marks, most = 24) {
    const shown = marks.slice(0, most);
    const more = marks.length - shown.length;
    return make("span", { class: "marks" },
      ...shown.map((mark) => make("button", { type: "button", class: "mark", onclick: () => this.act.choose(this.#owner(mark)) }, mark)),
      more > 0 ? ` and ${more} more` : "");
  }

  /** A part, or for what is fixed on one, the part that holds it. */
  #owner(mark) {
    return this.facts.parts[mark] ? mark : this.facts.owners[mark];
  }

  #findings() {
    const { findings, status, passed } = this.facts;
    const list = findings.map((finding) =>
      make("li", { class: finding.severity }, this.#findingButton(finding),
        make("div", { class: "more", hidden: true },
          make("p", {}, finding.message),
          finding.measure ? make("p", { class: "number" }, finding.measure) : "",
          make("p", { class: "source" }, finding.source),
          finding.remedy ? make("p", {}, make("strong", {}, "Remedy: "), finding.remedy) : "",
          finding.cause ? make("p", {}, `Comes from: ${finding.cause}`) : "",
          finding.accepted ? make("p", {}, `Accepted ${finding.accepted}`) : "",
          finding.amended ? make("p", {}, finding.amended) : "",
          this.#marks(finding.where))));
    find("#findings").replaceChildren(
      make("h2", {}, status),
      make("ol", { class: "plain findings" }, ...list),
      make("h3", {}, "Checks passed"),
      make("ul", {}, ...passed.map((line) => make("li", {}, line))),
      make("p", { class: "caution" }, this.facts.caution));
  }

  #findingButton(finding) {
    const [sign, word] = SEVERITIES[finding.severity];
    return make("button", { type: "button", class: `finding ${finding.severity}`, onclick: () => this.finding(finding) },
      make("span", { class: "sign", "aria-hidden": "true" }, sign),
      `${word}${finding.accepted ? " (accepted)" : ""}: ${finding.code}, ${finding.where.slice(0, 4).join(", ")}`);
  }

  /** Opens a finding in the list and lets the model show it. */
  finding(finding) {
    this.open("findings");
    const items = document.querySelectorAll("#findings ol > li");
    const number = this.facts.findings.indexOf(finding);
    items.forEach((item, k) => {
      item.querySelector(".more").hidden = k !== number;
      item.querySelector("button").setAttribute("aria-expanded", String(k === number));
    });
    items[number].scrollIntoView({ block: "nearest", inline: "nearest" });
    this.act.showFinding(finding);
  }

  #steps() {
    const items = this.facts.steps.map((step, number) => {
      const box = make("input", { type: "checkbox", id: `step-${number}` });
      box.checked = this.ticks.has(number);
      box.addEventListener("change", () => this.ticks.set(number, box.checked));
      return make("li", {}, make("label", { for: box.id }, box, ` ${step.title}`), make("p", {}, step.text),
        make("p", { class: "row" }, step.marks.length
          ? this.#button(`Show its ${step.marks.length} parts`, () => this.act.only(step.marks)) : ""),
        step.marks.length ? this.#marks(step.marks) : "");
    });
    find("#work").replaceChildren(
      make("h2", {}, `Order of work: ${this.facts.title}`),
      make("ol", { class: "steps" }, ...items),
      make("p", { class: "row" }, this.#button("Print as a checklist", () => window.print())),
      make("p", { class: "caution" }, this.facts.caution));
  }

  #lists() {
    const tables = this.facts.lists.map(({ title, columns, rows }) =>
      make("section", {}, make("h3", {}, title),
        make("div", { class: "wide", tabindex: "0", role: "region", "aria-label": title },
          make("table", {}, make("thead", {}, make("tr", {}, ...columns.map((c) => make("th", { scope: "col" }, c)))),
            make("tbody", {}, ...rows.map(([mark, ...cells]) => make("tr", { id: `row-${mark}` },
              make("th", { scope: "row" }, make("button", { type: "button", class: "mark", onclick: () => this.act.choose(mark) }, mark)),
              ...cells.map((cell) => make("td", {}, cell)))))))));
    find("#lists").replaceChildren(make("h2", {}, "Lists"), ...tables);
  }

  #row(mark) {
    this.open("lists");
    const row = document.getElementById(`row-${mark}`);
    document.querySelectorAll("tr.chosen").forEach((other) => other.classList.remove("chosen"));
    row.classList.add("chosen");
    row.scrollIntoView({ block: "center" });
    row.querySelector("button").focus();
  }
}
