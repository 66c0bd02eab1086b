// Points and lines in space, in metres, double precision: what measuring needs.

export const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const scaled = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const norm = (a) => Math.hypot(a[0], a[1], a[2]);
export const distance = (a, b) => norm(sub(a, b));
export const middle = (a, b) => scaled(add(a, b), 0.5);
export const unit = (a) => scaled(a, 1 / norm(a));

/** From millimetres with z up to the metres with y up of the model. */
export const modelled = ([x, y, z]) => [x / 1000, z / 1000, -y / 1000];

/** A point of a matrix's own space. */
export function placed(m, [x, y, z]) {
  return [
    m[0] * x + m[4] * y + m[8] * z + m[12],
    m[1] * x + m[5] * y + m[9] * z + m[13],
    m[2] * x + m[6] * y + m[10] * z + m[14],
  ];
}

/** The point of a stretch a-b that is nearest to a point; beyond its ends where it goes on. */
export function footOn([a, b], point, goesOn = false) {
  const along = sub(b, a);
  const length = dot(along, along);
  let t = length ? dot(sub(point, a), along) / length : 0;
  if (!goesOn) t = Math.min(Math.max(t, 0), 1);
  return add(a, scaled(along, t));
}

/** Where two stretches come nearest; both are taken as endless lines where `goOn`. */
export function nearest([a, b], [c, d], goOn = false) {
  const u = sub(b, a);
  const v = sub(d, c);
  const w = sub(a, c);
  const uu = dot(u, u);
  const vv = dot(v, v);
  const uv = dot(u, v);
  const cross = uu * vv - uv * uv;
  if (cross <= 1e-12 * uu * vv) {
    // Side by side: square across from the middle of the part that both have, or of the first.
    const start = middle(a, b);
    return [start, footOn([c, d], start, goOn)];
  }
  let t = (uv * dot(v, w) - vv * dot(u, w)) / cross;
  if (!goOn) t = Math.min(Math.max(t, 0), 1);
  let end = footOn([c, d], add(a, scaled(u, t)), goOn);
  const start = footOn([a, b], end, goOn);
  end = footOn([c, d], start, goOn);
  return [start, end];
}
