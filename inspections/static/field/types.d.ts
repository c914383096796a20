// The shapes of what the phone keeps and of what it gets, for checking alone.

/** Of whom a reading is: nobody else's pairing sends it. */
export interface Holder {
  contractor: string;
  person: number;
  name: string;
}

export interface Pairing {
  phone: number;
  device: string;
  person: { id: number; name: string };
  contractor: { code: string; name: string };
  language: string;
  unit_family: string;
}

export interface Visit {
  reference: string;
  holder: Holder;
  machine: { id: number; code: string };
  kind: string;
  /** By the phone's clock. */
  begun_at: string;
  offset_s: number | null;
  /** Set once by whoever typed it, where the clock was wrong. */
  visited_at?: string;
  note: string;
  /** The head as the first batch sent it; it never changes after. */
  sent_head?: { machine: string; kind: string; visited_at: string; note: string };
  /** Known once the server has stored it; photos go there. */
  id?: number;
  confirmed_plate?: boolean;
  /** Of an as-left visit: the planned work that it closes, and when it was done. */
  work?: Work;
  work_done_on?: string;
}

/** kept -> frozen -> stored | held | refused | conflict; replaced by a mended one. */
export type State =
  | "kept" | "frozen" | "stored" | "held" | "refused" | "conflict" | "replaced";

export interface Judged {
  acts: "" | "hold" | "again" | "tell" | "stop";
  words: string[];
}

/** What the server warns of: a code, and what its words name. */
export interface Warning {
  code: string;
  [given: string]: string;
}

export interface Reading {
  reference: string;
  sequence: number;
  visit: string;
  holder: Holder;
  machine: number;
  kind: string;
  number_by: "rope" | "groove" | null;
  number: number | null;
  place: Record<string, string | number>;
  /** As a person typed it, and as the server takes it (a point for a comma). */
  typed: string;
  value: string;
  unit: string;
  note: string;
  gauge: string;
  taken_at: string;
  offset_s: number | null;
  state: State;
  judged: Judged;
  mends?: string;
  problem?: string;
  /** The server's own, where it said why. */
  problem_code?: string;
  warning?: string;
  warnings?: Warning[];
  /** When the server said that it has it, by the server's clock. */
  sent_at?: string;
}

export interface Batch {
  key: string;
  sequence: number;
  holder: Holder;
  visit: string;
  /** The door that it goes through. */
  path: string;
  bytes: Uint8Array<ArrayBuffer>;
  references: string[];
  state: "waiting" | "answered" | "refused";
  tries: number;
  told?: string;
  told_code?: string;
  told_people?: number;
  problem?: string;
}

/** A photo that the server has had, by what it is offered again. */
export interface SentPhoto {
  reference: string;
  visit: string;
  holder: Holder;
  sha256: string;
  sent_at: string;
}

export interface Photo {
  reference: string;
  sequence: number;
  visit: string;
  holder: Holder;
  caption: string;
  bytes: ArrayBuffer;
  media_type: string;
  state: "kept" | "stored" | "refused";
  problem?: string;
}

export interface Band {
  end: "below" | "above" | "at_or_below" | "at_or_above" | "equals";
  at: number | string;
  unsafe: boolean;
  acts: "hold" | "again" | "tell" | "stop";
  words: string;
}

export interface Last {
  value: number | null;
  unit: string;
  word: string;
  on: string;
}

export interface Spot {
  number: number | null;
  place: Record<string, string | number>;
  words: string;
  last: Last | null;
  reasons: string[];
  limit: string;
  surprising: { words: string; at_or_below: number | null; at_or_above: number | null };
}

export interface PlaceKey {
  key: string;
  words: string;
  values: { value: string; words: string }[] | null;
  number: [number, number, string] | null;
  needed: boolean;
}

export interface Item {
  kind: string;
  name: string;
  how: string;
  subject: string;
  number_by: "rope" | "groove" | null;
  places: Spot[];
  quantity: string;
  units: Record<string, [string, string]>;
  unit: string;
  signed: boolean;
  whole: boolean;
  above_zero: boolean;
  words: string[];
  words_said: Record<string, string>;
  place_keys: PlaceKey[];
  bands: Band[];
  not_checked: boolean;
  gauge: string;
  decides: string;
}

export interface Step {
  code: string;
  words: string;
  minutes: number;
  items: Item[];
}

export interface VisitKind {
  kind: string;
  words: string;
  minutes: number;
  cautions: string[];
  steps: Step[];
  /** What is due and finds no room in the time. */
  more?: Step[];
}

export interface Work {
  id: number;
  kind: string;
  words: string;
  due: string;
  /** The kind of work that reports it as done; null where none does. */
  reported_as: string | null;
  needs_parts: boolean;
}

export interface Pack {
  /** Of the form; 1 where it is not said. */
  version?: number;
  id: number;
  code: string;
  name: string;
  building: string;
  plate: string;
  marks?: string;
  time_zone?: string;
  cautions: string[];
  stopped: boolean;
  stops: string[];
  stop_words: string;
  told_words: string;
  grooves: number[];
  ropes: number[];
  fitted: { sheave: string | null; rope_set: string | null };
  visit_kinds: VisitKind[];
  works: Work[];
  gauges: { code: string; name: string; resolution_mm: number | null }[];
  /** When the server made it, by its clock. */
  made_at: string;
}
