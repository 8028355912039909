// The types that the site's scripts share, for .ci/lint alone: nothing of this is shipped. The fields of a
// job record are those of procedure/record/FORMAT.md.

interface Stamp { at: number; tablet: string; by?: string }
interface Place extends Stamp { value: string }
interface Flag extends Stamp { value: boolean }
interface Tablet extends Stamp { learner: string; way: string; step: string; waits?: string }
interface Interval { from: number; to: number }
interface Confirmation extends Stamp { given: boolean; text?: string }
interface Signature {
  form?: number; who: string; name?: string; salt?: string; at: number; machine?: string; edition?: string; content?: string; step?: string; lines?: string;
  key: string; seal: string;
}
interface Measurement extends Stamp { look: string; thing: string; value: string; unit: string; low?: string; high?: string }
interface Finding extends Stamp {
  way: string; step: string; thing?: string; other?: string; name: string; kind: string; severity: string; words?: string; repair?: string; before?: string;
  photos?: string[]; measured?: string; withdrawn?: boolean; found: number; foundBy?: string;
}
interface Repair extends Stamp { done: boolean; note?: string }
interface Photo { type: string; width: number; height: number; data?: string }
interface JobRecord {
  format: string; version: number; job: string; machine: Place; procedure: string; variant?: string; edition: string; content: string;
  tablets: Record<string, Tablet>; passed?: Record<string, Flag>; ticks?: Record<string, Flag>; work?: Record<string, Interval>;
  confirmed?: Record<string, Confirmation>; signed?: Record<string, Signature>; measured?: Record<string, Measurement>;
  findings?: Record<string, Finding>; repairs?: Record<string, Repair>; photos?: Record<string, Photo>;
}
/** What reading a record gives: the record, or what is wrong with it and where. */
interface ReadRecord { record?: JobRecord; fault?: string; at?: string }

/** What the step page says of its job. */
interface Plan {
  procedure: string; variant?: string; edition: string; content: string; way: string; total: number; old: string; machine?: string;
  steps: number[][]; things: any[]; back: any[]; found?: Course_;
}
/** What a page goes by: see found.js. */
interface Round { way: string; steps: string[]; until: string; words: string; most: number }
interface Wait { way: string; step: string; if?: string; words: string; seconds: number; holds: string[] }
interface Course_ {
  values: Record<string, { label: string; unit: string; keys: string[]; sum?: { name: string; factor: number }[] }>;
  finders: Record<string, { kind: string; way: string; step: string; keys: string[]; limits?: string[][]; thing?: string }>;
  rounds: Round[]; waits: Wait[]; words: Record<string, string>;
}

/** A job on this tablet: see job.js. */
interface Job {
  key: string; kept: boolean; away: boolean; unread: string;
  save(): void; reload(): void; close(): void; changed(listener: () => void): void;
  record(): JobRecord; take(other: any): ReadRecord | null; settle(sent: any, answer: any): boolean; join(other: any): boolean;
  fresh(): boolean; dropUnread(): void; filed(): void; startOver(): boolean; otherText(): string | null; seeText(): void;
  machine(): string; nameMachine(name: string): void; learner(): string; nameLearner(name: string): void; enrolled(name: string, learner: string): void;
  wait(row: string): void; waits(row: string): boolean; ticked(row: string): boolean; tickRow(row: string, on: boolean): void;
  written(key: string): boolean | string; write(key: string, value: boolean | string): void;
  confirmed(row: string): boolean | string; confirm(row: string, value: boolean | string): void; signed(key: string): Signature | undefined;
  measured(row: string): Measurement | undefined; measure(row: string, value: Partial<Measurement>): void;
  findings(): { name: string; finding: Finding }[]; isOwn(finding: Finding): boolean; finding(name: string): Finding | undefined;
  find(name: string, fields: Partial<Finding>): void;
  stops(signed: (key: string) => any): { name: string; finding: Finding; key: string }[]; repaired(name: string): boolean; repair(name: string, done: boolean): void;
  addPhoto(photo: Photo & { name: string }): void;
  step(): string; goTo(id: string): void; end(): void; passed(id: string): boolean; pass(id: string): void;
  round(r: Round): number; at(row: string): string; entryAt(map: string, key: string): any; writtenAt(key: string): boolean | string;
  tick(): void; running(): boolean; run(on: boolean): void; seconds(id: string): number; total(): number;
}

interface Store { get(key: string): string | null; set(key: string, value: string): boolean; remove(key: string): boolean; keys(): string[] }

/** Words of one script: see shell.js. */
interface Say { (key: string, ...values: any[]): string; count(key: string, n: number): string }

interface Matchmark {
  words(section: string): Say;
  store: Store;
  make<K extends keyof HTMLElementTagNameMap>(tag: K, properties?: Partial<HTMLElementTagNameMap[K]>, ...inside: (Node | string)[]): HTMLElementTagNameMap[K];
  button(text: string, touched: () => void, className?: string): HTMLButtonElement;
  loaded(tell: (missing: number) => void): void;
  script(address: string): Promise<any>;
  hold(tell: () => void): Promise<void>;
  // record.js
  latestMoment: number;
  readRecord(text: string): ReadRecord;
  newRecord(plan: Plan, tablet: string): JobRecord;
  lastChange(record: JobRecord): number;
  canonical(value: any): string;
  mergeRecords(a: JobRecord, b: JobRecord): JobRecord;
  settle(mine: JobRecord, sent: JobRecord, host: JobRecord): JobRecord;
  newName(): string;
  sha256(bytes: Uint8Array): string;
  // job.js
  spell(minutes: number): string;
  openJob(plan: Plan, store: Store, now: () => number): Job;
  job?: Job;
  // What the parts of the step view and the host's scripts give each other.
  number(text: string): string | null;
  photos: any; findings: any; measured: any; found: any; repairs: any; signatures: any; keeping: any; acts: any; closer: any; lens: any; lookup: any; hands: any; begin: any; here?(): string[][]; 
  registers?: { titles: string[]; rows: Record<string, [number, string][]> };
  outbox: any; enrolment: any; host: string; giveCode(key: string, code: string): Promise<any>; picture(invitation: any): Element;
  board: any; search: any;
}

declare var matchmark: Matchmark;
declare var matchmarkWords: Record<string, Record<string, string>>;
declare var matchmarkQuiz: any;
declare var matchmarkPreview: any;

/** An element that was looked up in the page: whichever it is, it has of these what its kind has. */
interface Found extends HTMLElement {
  value: string; disabled: boolean; checked: boolean; readOnly: boolean; type: string; name: string; href: string; open: boolean; files: FileList;
  elements: any; tBodies: HTMLCollectionOf<HTMLTableSectionElement>; tHead: HTMLTableSectionElement;
  showModal(): void; close(): void; reset(): void;
}
interface Document { getElementById(id: string): Found | null }
interface ParentNode {
  querySelector(selectors: string): Found | null;
  querySelectorAll(selectors: string): NodeListOf<Found>;
}
interface Element { closest(selectors: string): Found | null }

// What events carry: those that the scripts send each other, and those of a service worker.
interface Event { detail?: any; request?: any; waitUntil?(until: Promise<any>): void; respondWith?(answer: any): void }
interface Window { skipWaiting(): void; clients: any }
