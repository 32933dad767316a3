// @ts-check
// One film on one screen: exact frames of several parts and cameras on the game's one time line. Knows no mark and no page.
//
// The browser's own clock does not name the frame on screen. So the times of all frames come from the server, a frame
// is sought by its middle, and the painted frame is the last one that begins at or before what the callback says.

/** @typedef {{ part: string, pts: number, base: [number, number] }} FrameTime */
/** @typedef {{ fingerprint: string, name: string, camera: string, offset_us: number, first_pts: number, base: [number, number], frames: number, duration_s: number, missing?: boolean }} Part */
/** @typedef {{ at: FrameTime, index: number, seconds: number, time: number, part: Part }} Shown `seconds` in its part, `time` on the game's line */

/** A frame begins at most this much after what the callback names, in seconds. */
const SLACK = 1e-4;
/** How long a seek may take, and a picture after it, in ms. */
const [PATIENCE, BRIEF] = [4000, 400];
export const FASTEST = 3;

/** @param {Float64Array} times rising @param {number} seconds @returns {number} the last frame that begins at or before it */
export function frameAt(times, seconds) {
  let low = 0;
  let high = times.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (times[middle] <= seconds) low = middle;
    else high = middle - 1;
  }
  return Math.max(low, 0);
}

/** @param {Float64Array} times @param {number} index @returns {number} the middle of a frame */
export function middleOf(times, index) {
  const next = index + 1 < times.length ? times[index + 1] : times[index] + (index ? times[index] - times[index - 1] : 0.02);
  return (times[index] + next) / 2;
}

/** @param {FrameTime} at @returns {number} seconds in its part */
export function secondsOf(at) {
  return (at.pts * at.base[0]) / at.base[1];
}

/** @param {Part} part @param {number} pts @returns {number} seconds since the first frame of the part */
function gone(part, pts) {
  return ((pts - part.first_pts) * part.base[0]) / part.base[1];
}

/** Tells `frame` (a Shown) for each painted frame, `state` at play, pause and speed, `trouble` (words). */
export class FilmPlayer extends EventTarget {
  /** @param {HTMLVideoElement} video */
  constructor(video) {
    super();
    this.video = video;
    /** @type {Part[]} */
    this.parts = [];
    /** @type {Map<string, Float64Array>} */
    this.known = new Map();
    this.times = /** @type {Float64Array} */ (new Float64Array());
    this.part = /** @type {Part | null} */ (null);
    this.camera = "main";
    this.index = 0;
    /** What the file that is played adds to the times of record (a copy may begin at nought). */
    this.shift = 0;
    this.rate = 1;
    /** The frame on screen is the one that is named, and stands. */
    this.sure = false;
    this.wanted = /** @type {number | null} */ (null);
    /** Where a jump under way leads. */
    this.aim = /** @type {number | null} */ (null);
    this.under = /** @type {Promise<void> | null} */ (null);
    video.addEventListener("play", () => this.tell("state"));
    video.addEventListener("pause", () => this.tell("state"));
    video.addEventListener("ended", () => this.goOn());
    video.addEventListener("error", () => this.part && this.tell("trouble", `This browser cannot show ${this.part.name}.`));
    this.follow();
  }

  /** @param {string} name @param {any} [detail] */
  tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  /** Take up the parts of a film and show the first frame of the first that is there. @param {Part[]} parts @param {string} [camera] */
  async load(parts, camera) {
    this.parts = [...parts].sort((a, b) => a.offset_us - b.offset_us);
    this.camera = camera ?? this.parts[0]?.camera ?? "main";
    const first = [...this.own(), ...this.parts].find((part) => !part.missing);
    if (!first) return this.tell("trouble", "No file of this film is here.");
    this.camera = first.camera;
    await this.open(first);
    await this.seekTo(0);
  }

  /** @returns {Part[]} the parts of the camera that is shown, in order */
  own() {
    return this.parts.filter((part) => part.camera === this.camera);
  }

  get cameras() {
    return [...new Set(this.parts.map((part) => part.camera))];
  }

  /** @returns {number} seconds from the beginning of the game's line to the end of its last part */
  get length() {
    return Math.max(0, ...this.parts.map((part) => part.offset_us / 1e6 + part.duration_s));
  }

  get playing() {
    return !this.video.paused && !this.video.ended;
  }

  /** @returns {Shown | null} the frame on screen; exact whenever the film stands */
  get shown() {
    return this.part && this.times.length ? this.describe(this.index) : null;
  }

  /** @param {number} index @returns {Shown} */
  describe(index) {
    const part = /** @type {Part} */ (this.part);
    const seconds = this.times[index];
    // A copy begins at nought: the time of record is reckoned from the first frame.
    const pts = part.first_pts + Math.round(((seconds - this.times[0]) * part.base[1]) / part.base[0]);
    return { at: { part: part.fingerprint, pts, base: part.base }, index, seconds, time: part.offset_us / 1e6 + gone(part, pts), part };
  }

  /** @param {FrameTime} at @returns {number | null} seconds on the game's line; null for a part that is not of this film */
  timeOf(at) {
    const part = this.parts.find((one) => one.fingerprint === at.part);
    return part ? part.offset_us / 1e6 + gone(part, at.pts) : null;
  }

  /** @param {Part} part make it the one on screen; its frames are fetched once */
  async open(part) {
    if (this.part === part) return;
    if (part.missing) throw new Error(`${part.name} is not here.`);
    let times = this.known.get(part.fingerprint);
    if (!times) {
      const answer = await fetch(`/media/${part.fingerprint}/frames`);
      if (!answer.ok) throw new Error(`The frames of ${part.name} cannot be read.`);
      times = new Float64Array(await answer.arrayBuffer());
      this.known.set(part.fingerprint, times);
    }
    this.part = part;
    this.times = times;
    this.index = 0;
    this.sure = false;
    const first = this.painted();
    this.video.src = `/media/${part.fingerprint}`;
    this.video.load();
    const seen = await first;
    this.shift = seen === null || Math.abs(seen - times[0]) < 5e-4 ? 0 : seen - times[0];
  }

  /** Seek a frame by its middle. A picture from before the seek does not count, though its callback may come after; a
   * seek to the frame on screen may bring none. @param {number} asked @returns {Promise<number>} what was painted */
  landed(asked) {
    const { video } = this;
    const since = performance.now();
    return new Promise((done) => {
      let found = asked;
      let over = false;
      const end = () => ((over = true), clearTimeout(late), video.removeEventListener("seeked", sought), done(found));
      const sought = () => (clearTimeout(late), (late = setTimeout(end, BRIEF)));
      let late = setTimeout(end, PATIENCE);
      /** @param {number} _ @param {VideoFrameCallbackMetadata} told */
      const look = (_, told) => {
        if (over) return;
        if (told.presentationTime >= since) found = frameAt(this.times, told.mediaTime - this.shift + SLACK);
        if (told.presentationTime >= since && found === asked) return end();
        video.requestVideoFrameCallback(look);
      };
      video.addEventListener("seeked", sought);
      video.requestVideoFrameCallback(look);
      video.currentTime = middleOf(this.times, asked) + this.shift;
    });
  }

  /** @returns {Promise<number | null>} the media time of the next frame that is painted; null when none comes */
  painted() {
    return new Promise((done) => {
      const late = setTimeout(() => done(null), PATIENCE);
      this.video.addEventListener("error", () => done(null), { once: true });
      this.video.requestVideoFrameCallback((_, told) => (clearTimeout(late), done(told.mediaTime)));
    });
  }

  /** Tell each frame as it is painted while the film runs. */
  follow() {
    this.video.requestVideoFrameCallback((_, told) => {
      if (this.playing && this.times.length) {
        this.index = frameAt(this.times, told.mediaTime - this.shift + SLACK);
        this.tell("frame", this.shown);
      }
      this.follow();
    });
  }

  /** Show one frame of the part on screen; of many asked at once the last is shown. @param {number} index @returns {Promise<Shown | null>} what was painted */
  async seekTo(index) {
    this.video.pause();
    this.wanted = Math.max(0, Math.min(this.times.length - 1, Math.round(index)));
    this.under ??= this.catchUp();
    await this.under;
    return this.shown;
  }

  async catchUp() {
    await null; // so that it is under way before it can be over
    while (this.wanted !== null) {
      const asked = this.wanted;
      this.wanted = null;
      if (this.sure && asked === this.index) continue;
      this.index = await this.landed(asked);
      this.sure = true;
      this.tell("frame", this.shown);
    }
    this.under = null;
  }

  /** @param {number} frames on or back; over the end of a part into the next one */
  async step(frames) {
    await this.pause();
    const to = (this.wanted ?? this.index) + frames;
    const other = to < 0 ? this.beside(-1) : to >= this.times.length ? this.beside(1) : null;
    if (!other) return this.seekTo(to);
    await this.open(other);
    return this.seekTo(to < 0 ? this.times.length - 1 : 0);
  }

  /** @param {1 | -1} way @returns {Part | null} the part after or before the one on screen that is here */
  beside(way) {
    const here = this.own().filter((part) => !part.missing);
    return here[here.indexOf(/** @type {Part} */ (this.part)) + way] ?? null;
  }

  /** @param {FrameTime} at @returns {Promise<Shown | null>} */
  async goTo(at) {
    const part = this.parts.find((one) => one.fingerprint === at.part);
    if (!part || part.missing) return this.tell("trouble", `${part?.name ?? "The file of this moment"} is not here; the moment is kept.`), null;
    this.video.pause();
    this.camera = part.camera;
    await this.open(part);
    return this.seekTo(frameAt(this.times, this.times[0] + gone(part, at.pts) + SLACK / 2));
  }

  /** @param {number} time seconds on the game's line @returns {Promise<Shown | null>} */
  async goToTime(time) {
    const here = this.own().filter((part) => !part.missing);
    const part = here.filter((one) => one.offset_us / 1e6 <= time).at(-1) ?? here[0];
    if (!part) return null;
    const running = this.playing;
    this.video.pause();
    await this.open(part);
    const found = await this.seekTo(frameAt(this.times, time - part.offset_us / 1e6 + this.times[0] + SLACK));
    if (running) this.play();
    return found;
  }

  /** @param {number} seconds on or back; two quick ones add up */
  async jump(seconds) {
    if (!this.shown) return;
    const to = (this.aim = Math.max(0, Math.min(this.length, (this.aim ?? this.shown.time) + seconds)));
    await this.goToTime(to);
    if (this.aim === to) this.aim = null;
  }

  /** @param {string} camera show the same moment by another camera */
  async turnTo(camera) {
    const time = this.shown?.time ?? 0;
    this.camera = camera;
    return this.goToTime(time);
  }

  /** @param {number} [rate] up to three times the true speed */
  play(rate = this.rate) {
    this.speed(rate);
    this.sure = false;
    this.video.play().catch(() => undefined);
  }

  /** @param {number} rate */
  speed(rate) {
    this.rate = Math.max(0.1, Math.min(FASTEST, rate));
    this.video.playbackRate = this.rate;
    this.tell("state");
  }

  /** Stop, and make the frame on screen the one that is named: the callback may lag a frame behind the picture. */
  async pause() {
    if (!this.playing) return this.under ?? undefined;
    this.video.pause();
    await this.seekTo(this.index);
  }

  toggle = () => (this.playing ? this.pause() : this.play());

  async goOn() {
    const next = this.beside(1);
    if (!next) return;
    await this.open(next);
    this.play();
  }
}
