// What a bench as a table is made of: what is read, seen and said beforehand. Types only.

/** A wire asked for, where it leads when it is on, where when it is off: flat. */
export interface ReadingsTable {
  readonly wires: readonly string[];
  readonly nodes: readonly number[];
  readonly low: Half;
  readonly high: Half;
}

/** What is shown at low volts (ohms, continuity), or at high (insulation). */
export interface Half {
  /** Functions, with " nulled" behind those with nulled leads. */
  readonly shown: readonly string[];
  /** Text, whether it beeps, what it says of an earth path or of insulation to earth. */
  readonly displays: readonly (readonly [string, boolean | null, "good" | "bad" | ""])[];
  readonly classes: readonly (readonly number[])[];
  /** For each circuit a root for each pair of terminals: a class, or -1 - n for the n-th node. */
  readonly roots: readonly (readonly number[])[];
  /** Position, calling and dried, such as "oven|1|0", and which circuit that makes. */
  readonly settings: Readonly<Record<string, number>>;
}

export interface Told {
  readonly text: string;
  readonly beeps: boolean | null;
  readonly judged: "good" | "bad" | "";
}

/** What stands between the probes, and how. */
export interface Asked {
  readonly function: string;
  readonly nulled: boolean;
  readonly position: string;
  readonly calling: boolean;
  readonly dried: boolean;
  readonly lifted: ReadonlySet<string>;
}

export interface Tried {
  readonly said: string;
  readonly lit: Readonly<Record<string, string>>;
}

export interface Job {
  readonly position: string;
  readonly positions: readonly {
    readonly name: string;
    readonly heats: boolean;
    /** Where there are three lines: those joined to a load there, with thermostats calling and resting. */
    readonly reaches?: readonly string[];
    readonly resting?: readonly string[];
    /** Terminals, and the loads of whose insulation a reading from any of them tells, calling and resting. */
    readonly tells?: readonly (readonly [readonly string[], readonly string[]])[];
    readonly tells_resting?: readonly (readonly [readonly string[], readonly string[]])[];
  }[];
  readonly cycles: boolean;
  readonly records: boolean;
  /** Seconds that each cover takes. */
  readonly covers: Readonly<Record<string, number>>;
  /** Terminals in order, each with the cover over it or "". */
  readonly terminals: Readonly<Record<string, string>>;
  readonly parts: Readonly<Record<string, string>>;
  readonly cut_outs: readonly string[];
  readonly wires: readonly {
    readonly mark: string;
    readonly ends: readonly [string, string];
    readonly earth: boolean;
  }[];
  readonly line: string;
  readonly neutral: string;
  readonly earth: string;
  /** Where there are three lines: pairs to be tested for dead, and names of the live conductors by terminal. */
  readonly pairs?: readonly string[];
  readonly sides?: Readonly<Record<string, string>>;
  /** Where there are three lines: the loads with a path to metalwork, and what each is called. */
  readonly loads?: Readonly<Record<string, string>>;
  readonly metal: readonly string[];
  readonly turned: readonly (readonly [string, string])[];
  readonly faults: readonly { readonly id: string; readonly title: string }[];
  /** For each function the instrument, and whether its leads can be nulled. */
  readonly meters: Readonly<Record<string, readonly [string, boolean]>>;
  readonly minutes: Readonly<Record<string, number>>;
  /** Tests and minutes of a good job; null where a job is compared with nothing. */
  readonly par: readonly [number, number] | null;
}

type Texts = Readonly<Record<string, string>>;

export interface Says {
  readonly list: Readonly<Record<"two" | "between" | "last" | "decimal", string>>;
  readonly acts: Texts;
  readonly seen: Texts;
  readonly refused: Texts;
  readonly covered: Readonly<Record<"wire" | "look" | "terminal", Texts>>;
  readonly untried: Readonly<Record<"nothing-to-try" | "no-lamp", Texts>>;
  readonly stop: {
    readonly stop: string;
    readonly open: string;
    readonly covers: Texts;
    readonly cover: Texts;
    readonly wire: Texts;
    readonly bridging: Texts;
    readonly "taking-wire-off": string;
    readonly unproved: string;
    readonly suspect: string;
    readonly "not-dead": string;
    readonly "earth-off": string;
    readonly live: string;
  };
  readonly wanting: Texts;
  readonly unproved: Texts;
  readonly spent: readonly string[];
}

export interface BenchTable {
  readonly job: Job;
  readonly looks: Texts;
  readonly tries: Readonly<Record<string, Readonly<Record<"watched" | "ran" | "recorded", Tried | null>>>>;
  readonly says: Says;
  readonly readings: ReadingsTable;
  /** How the job stands in a sentence, for each position; and the words that go into it. */
  readonly status: {
    readonly on: Texts;
    readonly off: Texts;
    readonly covers: Texts;
    readonly words: Readonly<Record<"locked" | "unlocked" | "dead" | "not-dead" | "none", string>>;
  };
  /** For each position the heat-up record as a picture. */
  readonly curves: Readonly<Record<string, { readonly title: string; readonly svg: string; readonly told: string }>>;
}

/** A reading of earth continuity or insulation that does not allow the supply. */
export interface Bad {
  readonly insulation: boolean;
  readonly a: string;
  readonly b: string;
  readonly display: string;
}

export interface Stand {
  readonly isolated: boolean;
  readonly locked: boolean;
  readonly proved: boolean;
  readonly pairs: readonly string[];
  readonly tested: ReadonlySet<string>;
  readonly provedAgain: boolean;
  readonly untried: boolean;
  readonly uncovered: ReadonlySet<string>;
  readonly lifted: ReadonlySet<string>;
  readonly position: string;
  readonly calling: boolean;
  readonly function: string;
  readonly nulled: boolean;
  readonly dried: boolean;
  readonly earth: ReadonlySet<string>;
  readonly insulated: ReadonlySet<string>;
  readonly bad: Bad | null;
  /** What was read or watched, by name: what is done again is no new trial for safety. */
  readonly seen: ReadonlySet<string>;
  readonly minutes: number;
  readonly safetyMinutes: number;
  readonly provedDead: boolean;
  readonly trials: number;
  readonly safetyTrials: number;
  readonly failure: string;
  readonly conclusion: string | null;
}

export interface Shown {
  readonly text: string;
  readonly done: boolean;
  readonly display?: string;
  readonly beeps?: boolean | null;
  readonly what?: string;
  readonly lit?: Readonly<Record<string, string>>;
}

export type Doer = (table: BenchTable, stand: Stand, what: string) => readonly [Stand, Shown];

/** What a job earns as far as its acts tell: for practice, in the open. */
export interface BenchKey {
  readonly right: readonly string[];
  readonly outside: readonly string[];
  readonly par: { readonly trials: number; readonly minutes: number };
  readonly grading: Readonly<
    Record<
      "safety" | "support" | "economy" | "conclusion" | "thrifty" | "fair" | "spare_trials" | "spare_minutes",
      number
    >
  >;
}
