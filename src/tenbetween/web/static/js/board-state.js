// @ts-check
// What the court screen holds: a play of steps, which one is shown, and every change to take back. Draws nothing.

/** @typedef {{ id: string, team: "a" | "b", x: number, y: number }} Player */
/** @typedef {{ x: number, y: number, facing?: number | null }} Official */
/** @typedef {{ says: string, seconds: number, hold: number, lead: "referee" | "umpire", provisions: string[], players: Player[],
 *   matchups: string[][], ball: [number, number], officials: { lead: Official, trail: Official }, via: Record<string, [number, number][]> }} Step */
/** @typedef {{ format: string, version: number, title: string, court: any, line: string, formation: string, note: string, steps: Step[] }} Play */
/** @typedef {{ court: any, players: Player[], matchups: string[][], ball: [number, number], officials: { lead: Official, trail: Official } }} Scene */

const KEPT = 200;
const BORDER = 5;

export class BoardState {
  /**
   * @param {Play} play
   * @param {{ length: number, width: number }} size
   */
  constructor(play, size) {
    this.play = play;
    this.size = size;
    this.number = 0;
    /** @type {string[]} */
    this.done = [];
    /** @type {string[]} */
    this.undone = [];
  }

  /** @returns {Step} */
  get step() {
    return this.play.steps[this.number];
  }

  /** @returns {Scene} the step shown, as other programs read a scene */
  get scene() {
    const { players, matchups, ball, officials } = this.step;
    return { court: this.play.court, players, matchups, ball, officials };
  }

  /** Keep how it is now, so that the next change can be taken back. */
  keep() {
    this.done.push(this.told());
    if (this.done.length > KEPT) this.done.shift();
    this.undone = [];
  }

  /** @returns {string} */
  told() {
    return JSON.stringify({ play: this.play, number: this.number });
  }

  /** @param {string} told */
  take(told) {
    const { play, number } = JSON.parse(told);
    this.play = play;
    this.number = Math.min(number, play.steps.length - 1);
  }

  /** @returns {boolean} whether anything was taken back */
  undo() {
    return this.swap(this.done, this.undone);
  }

  /** @returns {boolean} */
  redo() {
    return this.swap(this.undone, this.done);
  }

  /** @param {string[]} from @param {string[]} to */
  swap(from, to) {
    const told = from.pop();
    if (told === undefined) return false;
    to.push(this.told());
    this.take(told);
    return true;
  }

  /**
   * @param {string} id a player, `lead`, `trail` or `ball`
   * @returns {{ x: number, y: number }}
   */
  place(id) {
    const { players, ball, officials } = this.step;
    if (id === "ball") return { x: ball[0], y: ball[1] };
    if (id === "lead" || id === "trail") return officials[id];
    return players.find((one) => one.id === id) ?? { x: 0, y: 0 };
  }

  /**
   * Move somebody; nobody goes farther than five feet off the floor. Who holds the ball takes it along.
   * @param {string} id
   * @param {number} x
   * @param {number} y
   */
  move(id, x, y) {
    const to = { x: tidy(clamp(x, -BORDER, this.size.length + BORDER)), y: tidy(clamp(y, -BORDER, this.size.width + BORDER)) };
    const { players, ball, officials } = this.step;
    if (id === "ball") {
      this.step.ball = [to.x, to.y];
    } else if (id === "lead" || id === "trail") {
      Object.assign(officials[id], to);
    } else {
      const one = players.find((player) => player.id === id);
      if (!one) return;
      const holds = Math.hypot(one.x - ball[0], one.y - ball[1]) < 0.05;
      Object.assign(one, to);
      if (holds) this.step.ball = [to.x, to.y];
    }
  }

  /**
   * Turn an official's eyes; null lets the program take the way that shows him most.
   * @param {"lead" | "trail"} role
   * @param {number | null} degrees
   */
  face(role, degrees) {
    this.step.officials[role].facing = degrees === null ? null : ((degrees % 360) + 360) % 360;
  }

  /**
   * The same play at the other basket, or with the table on the other side.
   * @param {boolean} ends
   * @param {boolean} sides
   */
  mirror(ends, sides) {
    const { length, width } = this.size;
    /** @param {number} x @param {number} y @returns {[number, number]} */
    const turned = (x, y) => [exact(ends ? length - x : x), exact(sides ? width - y : y)];
    for (const step of this.play.steps) {
      for (const one of [...step.players, step.officials.lead, step.officials.trail]) [one.x, one.y] = turned(one.x, one.y);
      for (const official of [step.officials.lead, step.officials.trail]) {
        if (typeof official.facing !== "number") continue;
        const over = ends ? 180 - official.facing : official.facing;
        official.facing = (((sides ? -over : over) % 360) + 360) % 360;
      }
      step.ball = turned(...step.ball);
      for (const [id, points] of Object.entries(step.via)) step.via[id] = points.map(([x, y]) => turned(x, y));
    }
  }

  /** A new step after this one, to be moved into; shown next. */
  add() {
    const copy = structuredClone(this.step);
    Object.assign(copy, { says: "Next", seconds: 1.5, hold: 1, via: {}, provisions: [] });
    this.play.steps.splice(this.number + 1, 0, copy);
    this.number += 1;
  }

  /** Take the shown step out; the last one stays. */
  drop() {
    if (this.play.steps.length === 1) return;
    this.play.steps.splice(this.number, 1);
    this.number = Math.min(this.number, this.play.steps.length - 1);
  }

  /** @param {number} number */
  show(number) {
    this.number = clamp(number, 0, this.play.steps.length - 1);
  }

  /** @param {"lead" | "trail"} role @returns {"referee" | "umpire"} */
  person(role) {
    return personIn(this.step, role);
  }
}

/** @param {Step} step @param {string} role @returns {"referee" | "umpire"} */
export function personIn(step, role) {
  return role === "lead" ? step.lead : step.lead === "referee" ? "umpire" : "referee";
}

/** @param {number} value @param {number} low @param {number} high */
export function clamp(value, low, high) {
  return Math.min(Math.max(value, low), high);
}

/** @param {number} value so that turning twice gives the same place again */
function exact(value) {
  return Math.round(value * 1e6) / 1e6 + 0;
}

/** @param {number} value a hundredth of a foot is finer than anybody places */
export function tidy(value) {
  return Math.round(value * 100) / 100 + 0;
}
