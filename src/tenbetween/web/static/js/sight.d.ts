// What the page scripts that show sight hand to each other. Read by tsc only; never sent to a browser.
export type Role = "lead" | "trail";
/** A place not known is null or not a number. */
export interface Player { id: string; team: string; x: number; y: number }
export interface Place { x: number; y: number }
export interface Official extends Place { facing?: number | null }
/** A scene by the names of the JSON format; feet, degrees. */
export interface Scene { court?: any; players: Player[]; matchups: string[][]; ball: number[]; officials: Record<Role, Official> }
/** Every setting of the sight room, by its name there. */
export type Settings = Record<string, any>;
/** How a body stands in view of a place; radians, feet. */
export interface Bearing { dx: number; dy: number; distance: number; direction: number; half: number; power: number }
/** One look before facing; radians. `hides`: share of the space between the two behind each player. */
export interface Parts {
  openness: number; clear: number; gap: number; distance: number; closeness: number; width: number; apart: number; middle: number; hides: number[];
}
export interface Look {
  official: Role; matchup: string[]; openness: number; clear: number; gap_deg: number; distance: number; closeness: number; width: number;
  in_field: number; value: number; apart_deg: number; screened_by: string | null; hidden_by: Record<string, number>;
  straight_lined: boolean; cause: string; why: string;
}
export interface BoxedIn {
  ok: boolean; opposition_deg: number | null; share_between: number | null; behind: string[]; behind_of: Record<Role, string[]>;
}
export interface Facing { deg: number; given: boolean }
export interface Seen {
  looks: Look[]; coverage: number | null; double_coverage: number | null; blind_spots: string[][]; boxed_in: BoxedIn; facing: Record<Role, Facing>;
}
/** Cell (i, j) is data[i * rows + j], its middle at (x0 + (i + 0.5) dx, y0 + (j + 0.5) dy); `cell` is the side asked for. */
export interface Shade { cols: number; rows: number; x0: number; y0: number; cell: number; dx: number; dy: number; data: Uint8Array }
/** Feet to units of the drawing. */
export type ToUnits = (x: number, y: number) => number[];
/** What an official takes in to have everybody before him: from one bearing to the other (radians), so far (feet). */
export interface Cone extends Place { first: number; last: number; reach: number }
/** A body in the strip; degrees, left of where he faces above 0. */
export interface Upright extends Player { off: number; half: number; distance: number; share: number; by: string }
/** Puts an element by name into a group: made once, then only its attributes change. */
export type Put = (name: string, tag: string, attributes: Record<string, string | number>, words?: string) => Element;
