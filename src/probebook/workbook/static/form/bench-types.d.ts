// What page and kernel share of a bench, and what its pieces in the page hand to each other. Types only.

import type { Model } from "./model";

export interface BenchTraits {
  view: BenchView;
  state: BenchState;
  curve?: Curve;
}

/** A heat-up record as a picture; empty until one is taken. */
export interface Curve {
  readonly title?: string;
  readonly svg?: string;
  readonly told?: string;
}
export type BenchModel = Model<BenchTraits>;

/** Something that can be done, and what it is called. */
export interface Deed {
  readonly act: string;
  readonly label: string;
}

export interface BenchView {
  readonly language: string;
  readonly title: string;
  readonly drawings: Readonly<Record<"wide" | "narrow" | "schematic", string>>;
  readonly steps: readonly (Deed & { readonly done: string })[];
  readonly supply: Deed;
  readonly covers: readonly CoverView[];
  readonly positions: readonly (Deed & {
    readonly name: string;
    readonly closed: readonly string[];
    readonly resting: readonly string[];
  })[];
  /** Turning the thermostat up and down; empty where there is none. */
  readonly thermostat: readonly Deed[];
  readonly tries: readonly Deed[];
  readonly dry: Deed;
  readonly dial: readonly (Deed & { readonly function: string; readonly sign: string; readonly meter: string })[];
  readonly null: Deed;
  readonly terminals: readonly TerminalView[];
  readonly parts: readonly PartView[];
  readonly wires: readonly WireView[];
  readonly faults: readonly string[];
  readonly lists: readonly { readonly label: string; readonly acts: readonly Deed[] }[];
  readonly words: Readonly<Record<string, string>>;
}

export interface CoverView {
  readonly name: string;
  readonly label: string;
  readonly off: string;
  readonly on: string;
  readonly off_act: string;
  readonly on_act: string;
}

export interface TerminalView {
  readonly name: string;
  readonly cover: string;
  readonly label: string;
  readonly covered: string;
}

export interface PartView {
  readonly mark: string;
  readonly cover: string;
  readonly label: string;
  readonly look: string;
  readonly bridge: string;
  readonly subjects: readonly string[];
}

export interface WireView {
  readonly mark: string;
  readonly ends: readonly [string, string];
  readonly label: string;
  readonly short: string;
  readonly lift: string;
  readonly refit: string;
  readonly look: string;
  readonly lift_words: string;
  readonly refit_words: string;
}

/** What a picture of the bench shows, now or at an earlier step. */
export interface Picture {
  readonly isolated: boolean;
  readonly locked: boolean;
  readonly tester_proved: boolean;
  readonly tested: readonly string[];
  readonly tester_proved_again: boolean;
  readonly covers_off: readonly string[];
  readonly wires_off: readonly string[];
  readonly position: string;
  readonly calling: boolean;
  readonly function: string;
  readonly nulled: boolean;
  readonly dried: boolean;
  readonly minutes: number;
  readonly display: string;
  readonly beeps: boolean | null;
  readonly reading: readonly string[];
  readonly lit: Readonly<Record<string, string>>;
}

export interface BenchState {
  readonly answers: number;
  readonly job: Omit<Picture, "display" | "beeps" | "reading" | "lit"> & {
    readonly terminals: readonly string[];
    readonly acts: readonly string[];
    readonly over: boolean;
  };
  readonly display: string;
  readonly beeps: boolean | null;
  readonly reading: readonly string[];
  readonly lit: Readonly<Record<string, string>>;
  readonly said: { readonly text: string; readonly tone: "seen" | "no" | "stop" | "end" };
  readonly stop: string;
  readonly status: string;
  readonly par: string;
  /** At the end: tests and minutes, each with that of the par. */
  readonly spent?: { readonly tests?: readonly [number, number]; readonly minutes?: readonly [number, number] };
  readonly restarts: boolean;
  readonly log: readonly { readonly act: string; readonly seen: string; readonly picture: Partial<Picture> }[];
}

/** Whoever takes acts and tells how the job stands: the kernel, or a table of what would be read. */
export interface Service {
  view(): BenchView;
  state(): BenchState;
  curve?(): Curve;
  act(act: string): void;
  conclude(faults: readonly number[]): void;
  restart(): void;
  watch(slot: () => void): () => void;
}

/** What every piece of the page is shown. */
export interface Scene {
  readonly state: BenchState;
  readonly picture: Picture;
  /** The place in the log that is looked back at; null for now. */
  readonly back: number | null;
  /** Whether an answer is waited for. */
  readonly waits: boolean;
}

export type Probe = "red" | "black";
export type Placed = Readonly<Record<Probe, string | null>>;

/** What can be touched on a drawing. */
export interface Thing {
  readonly kind: "terminal" | "flag" | "wire" | "part" | "cover";
  readonly name: string;
  readonly node: SVGGElement;
}

/** What a piece asks of the bench. */
export interface Hands {
  act(act: string): void;
  can(act: string): boolean;
  conclude(faults: readonly number[]): void;
  restart(): void;
  look(back: number | null): void;
}

export interface Piece {
  readonly node: HTMLElement;
  show(scene: Scene): void;
}
