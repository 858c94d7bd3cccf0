// What was done already, kept in the browser for this plan.
export class Ticks {
  constructor(key) {
    this.name = `flitchwise ${key}`;
    this.done = new Set();
    try {
      this.done = new Set(JSON.parse(localStorage.getItem(this.name) ?? '[]'));
    } catch {
      // A browser that keeps nothing for files still shows the plan; its ticks last as long as the page.
    }
  }
  has(id) {
    return this.done.has(id);
  }
  set(id, done) {
    if (done) this.done.add(id);
    else this.done.delete(id);
    try {
      localStorage.setItem(this.name, JSON.stringify([...this.done]));
    } catch {
      // as above
    }
  }
}
