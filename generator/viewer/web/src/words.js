// Lengths in words, as the job's own papers write them.

const SIXTEENTH = 25.4 / 16;

/** Feet, inches and sixteenths, or millimetres to a tenth. */
export function lengthWords(metric) {
  return (mm) => (metric ? `${trimmed(mm.toFixed(1))} mm` : feet(mm));
}

function trimmed(text) {
  return text.replace(/\.0$/, "");
}

function feet(mm) {
  const count = Math.round(Math.abs(mm) / SIXTEENTH + 1e-6);
  const whole = Math.floor(count / 192);
  const inches = Math.floor((count % 192) / 16);
  let [above, below] = [count % 16, 16];
  while (above && above % 2 === 0) [above, below] = [above / 2, below / 2];
  const words = above ? [`${above}/${below}`] : [];
  if (inches || whole || !above) words.unshift(String(inches));
  return `${mm < 0 && count ? "-" : ""}${whole ? `${whole}'-` : ""}${words.join(" ")}"`;
}
