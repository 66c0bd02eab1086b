// Which steps are done, kept on this device for this job; only in memory where it keeps nothing.

export class Ticks {
  constructor(key) {
    this.key = `stringline ${key}`;
    try {
      this.done = new Set(JSON.parse(localStorage.getItem(this.key) ?? "[]"));
    } catch {
      this.done = new Set();
    }
  }

  has(number) {
    return this.done.has(number);
  }

  set(number, done) {
    if (done) this.done.add(number);
    else this.done.delete(number);
    try {
      localStorage.setItem(this.key, JSON.stringify([...this.done]));
    } catch {
      // A device that keeps nothing: the tick lasts as long as the page is open.
    }
  }
}
