// Measuring between two things: corners, nosings, axes and edges catch the pointer, in that order.

import { distance, footOn, middle, modelled, nearest, norm, placed, sub } from "./lines.js";

const CATCH_PX = 14;

export class Measure {
  constructor(stage, facts, words) {
    this.stage = stage;
    this.facts = facts;
    this.words = words;
    this.first = null;
  }

  clear() {
    this.first = null;
    this.stage.annotate([], []);
  }

  /** Takes what a pixel shows; gives words of what was caught, or of the distance. */
  take(pixel) {
    const hit = this.stage.pick(pixel);
    return hit ? this.add(this.#caught(hit, pixel)) : null;
  }

  /** Takes the axis of a part, for those who measure by keyboard. */
  takeAxis(mark) {
    const part = this.facts.parts[mark];
    const line = part?.axis ?? part?.nosing;
    if (!line) return null;
    const ends = [modelled(line[0]), modelled(line[line.length - 1])];
    const name = part.axis ? `axis of ${mark}` : `nosing of ${mark}`;
    return this.add({ at: middle(...ends), line: ends, name, endless: true });
  }

  /** The first thing is kept, the second measured to; a third begins anew. */
  add(thing) {
    if (!this.first) {
      this.first = thing;
      this.stage.annotate([], [{ at: thing.at, text: thing.name }]);
      return { name: thing.name, metres: null };
    }
    const ends = between(this.first, thing);
    const metres = distance(...ends);
    const [dx, dy, dz] = sub(ends[1], ends[0]);
    const result = {
      name: `${this.first.name} to ${thing.name}`,
      metres,
      text: this.words.length(metres * 1000),
      level: this.words.length(norm([dx, 0, dz]) * 1000),
      plumb: this.words.length(Math.abs(dy) * 1000),
    };
    this.stage.annotate([ends], [{ at: middle(...ends), text: result.text, kind: "number" }]);
    this.first = null;
    return result;
  }

  #caught(hit, pixel) {
    const { instance } = hit;
    const part = this.facts.parts[instance.mark] ?? {};
    const name = instance.label ? `${instance.label} of ${instance.mark}` : instance.mark;
    const corner = this.#nearestOf(
      this.stage.model.corners(instance).map((c) => ({ at: placed(instance.matrix, c) })), pixel,
      hit.point);
    const round = ["cable", "fitting", "anchor", "nut", "washer", "seat"].includes(instance.kind);
    if (corner && !round) return { at: corner.at, name: `corner of ${name}` };
    const lines = [];
    if (part.nosing && !instance.label) lines.push([part.nosing, `nosing of ${name}`, true]);
    if (part.axis && !instance.label) {
      for (let k = 0; k + 1 < part.axis.length; k++) {
        lines.push([part.axis.slice(k, k + 2), `axis of ${name}`, true]);
      }
    }
    const caught = this.#nearestLine(
      lines.map(([line, words, endless]) => [line.map(modelled), words, endless]), pixel);
    if (caught) return caught;
    const edges = round ? [] : this.stage.model.edges(instance).map((edge) =>
      [edge.map((c) => placed(instance.matrix, c)), `edge of ${name}`, false]);
    return this.#nearestLine(edges, pixel) ?? { at: hit.point, name: `face of ${name}` };
  }

  #nearestOf(candidates, pixel, hit) {
    let best = null;
    for (const one of candidates) {
      const [x, y] = this.stage.pixel(one.at);
      const off = Math.hypot(x - pixel[0], y - pixel[1]);
      const depth = distance(one.at, hit);
      if (off <= CATCH_PX && (!best || off + depth < best.off + best.depth)) best = { ...one, off, depth };
    }
    return best;
  }

  #nearestLine(lines, pixel) {
    const { origin, direction } = this.stage.ray(pixel).ray;
    const eye = origin.toArray();
    const far = origin.clone().addScaledVector(direction, 1000).toArray();
    let best = null;
    for (const [line, name, endless] of lines) {
      const [at] = nearest(line, [eye, far]);
      const [x, y] = this.stage.pixel(at);
      const off = Math.hypot(x - pixel[0], y - pixel[1]);
      if (off <= CATCH_PX && (!best || off < best.off)) best = { at, line, name, endless, off };
    }
    return best;
  }
}

/** Where two things are measured: axes and nosings as lines that go on, the rest as points. */
function between(a, b) {
  if (a.line && b.line && a.endless && b.endless) {
    return nearest(a.line, b.line, true);
  }
  if (a.line && a.endless) return [footOn(a.line, b.at, true), b.at];
  if (b.line && b.endless) return [a.at, footOn(b.line, a.at, true)];
  return [a.at, b.at];
}
