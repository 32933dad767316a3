// @ts-check
// The twin of the program's camera: from a place in the gym to a dot of the picture, and from a dot down to the floor.
// Numbers in the order x, y, z, pan, tilt, roll, log of the focal length, bend. The middle of the first dot is (0, 0).

/** @typedef {[number, number]} Dot */

export class FilmCamera {
  /** @param {number[]} numbers @param {number} wide @param {number} high */
  constructor(numbers, wide, high) {
    const [x, y, z, pan, tilt, roll, log, bend] = numbers;
    this.at = [x, y, z];
    this.focal = Math.exp(log);
    this.bend = bend;
    this.middle = [(wide - 1) / 2, (high - 1) / 2];
    const ahead = [Math.sin(pan) * Math.cos(tilt), Math.cos(pan) * Math.cos(tilt), -Math.sin(tilt)];
    const right = [Math.cos(pan), -Math.sin(pan), 0];
    const down = [ahead[1] * right[2] - ahead[2] * right[1], ahead[2] * right[0] - ahead[0] * right[2], ahead[0] * right[1] - ahead[1] * right[0]];
    const c = Math.cos(roll);
    const s = Math.sin(roll);
    this.turn = [right.map((one, n) => c * one + s * down[n]), down.map((one, n) => c * one - s * right[n]), ahead];
  }

  /** @param {number} x @param {number} y @param {number} [z] @returns {Dot | null} null behind the camera */
  dot(x, y, z = 0) {
    const way = [x - this.at[0], y - this.at[1], z - this.at[2]];
    const [u, v, far] = this.turn.map((row) => row[0] * way[0] + row[1] * way[1] + row[2] * way[2]);
    if (far <= 0.1) return null;
    const bent = 1 + (this.bend * (u * u + v * v)) / (far * far);
    return [(this.focal * u * bent) / far + this.middle[0], (this.focal * v * bent) / far + this.middle[1]];
  }

  /** @param {Dot} dot @returns {Dot | null} the place on the floor; null at or above the horizon */
  floor([u, v]) {
    const bent = [(u - this.middle[0]) / this.focal, (v - this.middle[1]) / this.focal];
    let flat = bent;
    for (let turn = 0; turn < 12; turn++) {
      const by = 1 + this.bend * (flat[0] ** 2 + flat[1] ** 2);
      flat = [bent[0] / by, bent[1] / by];
    }
    const ray = [0, 1, 2].map((n) => flat[0] * this.turn[0][n] + flat[1] * this.turn[1][n] + this.turn[2][n]);
    if (ray[2] > -1e-6) return null;
    const far = -this.at[2] / ray[2];
    return [this.at[0] + ray[0] * far, this.at[1] + ray[1] * far];
  }
}

/** The cameras of one film, fetched a stretch at a time as it runs. */
export class FilmCameras {
  /** @param {string} film */
  constructor(film) {
    this.film = film;
    /** @type {Map<string, Map<number, { camera: FilmCamera, state: string }>>} */
    this.known = new Map();
  }

  /** @param {string} part fetch what is known of a part; again when something new is known */
  async load(part) {
    const answer = await fetch(`/api/v1/films/${this.film}/cameras?part=${part}&from=-9000000000000&to=9000000000000`);
    if (!answer.ok) return;
    const told = await answer.json();
    const [wide, high] = told.picture;
    this.known.set(part, new Map(told.pts.map((/** @type {number} */ pts, /** @type {number} */ n) => [pts, { camera: new FilmCamera(told.numbers[n], wide, high), state: told.state[n] }])));
  }

  /** @param {{ part: string, pts: number }} at @returns {{ camera: FilmCamera, state: string } | null} */
  at(at) {
    return this.known.get(at.part)?.get(at.pts) ?? null;
  }
}
