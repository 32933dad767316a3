// @ts-check
// A player for films a browser cannot show before their copy is made: each frame as a picture from the workbench. Steps,
// jumps and marks work; playing does not.

import { FilmPlayer } from "./film-player.js";

/** @typedef {import("./film-player.js").Part & { withdrawn?: boolean }} Part */

const HEIGHT = 720;
const CLOSED = "This film was withdrawn: no picture of it is opened. Its moments are kept as numbers.";

export class StillPlayer extends FilmPlayer {
  /** @param {HTMLVideoElement} video @param {HTMLImageElement} picture over the video, shown in its place */
  constructor(video, picture) {
    super(video);
    this.picture = picture;
    /** The film was withdrawn. */
    this.closed = false;
  }

  /** Whether frames come as single pictures now. */
  get stills() {
    return !!this.video.error;
  }

  /** @override @param {Part[]} parts @param {string} [camera] */
  async load(parts, camera) {
    if (!parts.length || !parts.every((part) => part.withdrawn)) return super.load(parts, camera);
    this.parts = parts;
    this.closed = true;
    this.tell("trouble", CLOSED);
  }

  /** @override @param {import("./film-player.js").FrameTime} at */
  async goTo(at) {
    return this.closed ? (this.tell("trouble", CLOSED), null) : super.goTo(at);
  }

  /** @override @param {number} index */
  async seekTo(index) {
    return this.part ? super.seekTo(index) : null;
  }

  /** @override @param {Part} part */
  async open(part) {
    await super.open(part);
    this.picture.hidden = !this.stills;
    if (this.stills) this.tell("trouble", `This browser cannot show ${part.name}; its frames come one by one. Step, jump and mark as ever; playing waits for the copy under Films.`);
  }

  /** @override @param {number} asked */
  landed(asked) {
    if (!this.stills) return super.landed(asked);
    const { at } = this.describe(asked);
    return /** @type {Promise<number>} */ (new Promise((done) => {
      this.picture.onload = this.picture.onerror = () => done(asked);
      this.picture.src = `/media/${at.part}/still/${at.pts}.jpg?h=${HEIGHT}`;
    }));
  }
}
