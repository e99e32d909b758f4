// What a drawing says can be done with it. Types only.

export interface Told {
  readonly words: Readonly<Record<string, string>>;
  /** Where it may be folded; null where it need not or cannot be. */
  readonly fold?: Fold | null;
  readonly readings: readonly Reading[];
}

/** A fold: its place, the box of the drawing (left, top, right, bottom), the foot of the circuit, what crosses it. */
export interface Fold {
  readonly at: number;
  readonly box: readonly [number, number, number, number];
  readonly rule: number;
  readonly marks: readonly (readonly [string, number])[];
}

/** A position whose path may be shown. */
export interface Reading {
  readonly title: string;
  /** Contacts that are shut. */
  readonly closed: readonly string[];
  /** What carries current: 1 in the sense it is drawn, -1 against it, 0 where it has none. */
  readonly flow: Readonly<Record<string, number>>;
  readonly told: string;
  readonly loads: readonly {
    readonly part: string;
    readonly label: string;
    readonly on: readonly string[];
    readonly told: string;
  }[];
}
