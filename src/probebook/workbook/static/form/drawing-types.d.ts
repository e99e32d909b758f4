// What a drawing says can be done with it. Types only.

export interface Told {
  readonly words: Readonly<Record<string, string>>;
  readonly readings: readonly Reading[];
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
