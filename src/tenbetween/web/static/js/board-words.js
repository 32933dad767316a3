// @ts-check
// What a token on the court is called when it is read aloud.

/** @param {string} id @param {string} key */
export function called(id, key) {
  if (id === "ball") return "Ball";
  if (id === "lead" || id === "trail") return `${id === "lead" ? "L" : "T"} ${id}, ${key}`;
  // What stands in the mark comes first, so that saying what one sees finds it.
  return `${id.replace(/^[ab]/, "")} ${id.startsWith("a") ? "attacker" : "defender"} ${id}`;
}

/** @param {number} value */
export function feet(value) {
  return `${Math.round(value * 10) / 10} ft`;
}
