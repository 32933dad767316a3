// @ts-check
// Plays the steps: smoothly, one by one, or as jumps where the system asks for less motion.

import { begins, duration, stepAt, stepBetween } from "./board-time.js";

/** @typedef {import("./board.js").SceneBoard} SceneBoard */
/** @typedef {import("./board-state.js").Step} Step */

export class BoardPlayer {
  /**
   * @param {SceneBoard} board
   * @param {(step: Step, number: number, stamp: number) => void} shown after each frame
   * @param {(playing: boolean) => void} rested after it stops
   */
  constructor(board, shown, rested) {
    this.board = board;
    this.shown = shown;
    this.rested = rested;
    this.t = 0;
    this.running = 0;
    this.speed = 1;
    this.stepped = false;
    /** @type {number[]} milliseconds between frames of the last run */
    this.frames = [];
  }

  get playing() {
    return this.running !== 0;
  }

  /** From the shown step to the end; from the end, or when nobody has stepped yet, from the beginning. */
  start() {
    const play = this.board.state.play;
    if (play.steps.length < 2) return;
    if (!this.stepped || this.board.state.number >= play.steps.length - 1) this.board.state.show(0);
    this.stepped = true;
    this.t = begins(play, this.board.state.number) + (this.board.state.number ? this.board.state.step.seconds : 0);
    this.frames = [];
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return this.jump();
    let last = 0;
    /** @param {number} now */
    const tick = (now) => {
      if (last) {
        this.frames.push(now - last);
        this.t += (this.speed * Math.min(now - last, 250)) / 1000;
      }
      last = now;
      if (this.draw(now)) this.running = requestAnimationFrame(tick);
      else this.stop();
    };
    this.running = requestAnimationFrame(tick);
    this.rested(true);
  }

  /** @param {number} now @returns {boolean} whether there is more */
  draw(now) {
    const { state } = this.board;
    const [number, part] = stepAt(state.play, this.t);
    state.number = number;
    const step = stepBetween(state.play, number, part);
    this.board.place(step);
    this.shown(step, number, now);
    return this.t < duration(state.play);
  }

  /** Less motion: each step stands for its hold and a moment to read, then the next one is there. */
  jump() {
    const { state } = this.board;
    this.rested(true);
    const next = () => {
      if (state.number >= state.play.steps.length - 1) return this.stop();
      this.step(1);
      this.running = Number(setTimeout(next, (1000 * (state.step.hold + 1)) / this.speed));
    };
    this.running = Number(setTimeout(next, 1000 / this.speed));
  }

  stop() {
    cancelAnimationFrame(this.running);
    clearTimeout(this.running);
    const was = this.playing;
    this.running = 0;
    this.board.place(this.board.state.step);
    if (was) this.rested(false);
  }

  toggle() {
    if (this.playing) this.stop();
    else this.start();
  }

  /** @param {number} by */
  step(by) {
    const { state } = this.board;
    this.stepped = true;
    state.show(state.number + by);
    this.board.place(state.step);
    this.shown(state.step, state.number, 0);
  }
}
