import { type TSchema, Type } from 'typebox';
import type { BoardDocument } from '../../engine/project/board/boardDocument.js';
import type { ComparisonDocument } from '../../engine/project/comparison.js';
import type { FeedForwardDocument } from '../../engine/project/feedforward.js';
import type { PlayedDocument } from '../../engine/project/feedforwardPlay.js';
import type { IdentificationDocument } from '../../engine/project/identification.js';
import { identificationSchema } from '../../engine/project/identificationSchema.js';
import type { JsonSchema } from '../../engine/project/jsonSchema.js';
import { recordingSchema } from '../../engine/project/recording.js';
import { roles } from '../../engine/recording/recording.js';
import type { EditableDocument, ListedDocument } from '../documents/editable.js';
import type { JobDocument } from '../jobs/jobs.js';
import type { IdentificationEntry, Proposal } from '../jobs/tasks.js';
import type { RecordingEntry } from '../recordings/recordings.js';
import type { TraceDocument } from '../traces/traceDocument.js';
import { Hash, Version } from './common.js';

// What the server answers. Documents of the folder are described by the very schema that they are checked against when they are read.

/** A schema of what a type of the program already states: checked against real answers by the tests. */
const says = <T>(schema: TSchema) => Type.Unsafe<T>(schema as object);
/** A document by the schema that its files are checked against. */
export const ofSchema = (schema: JsonSchema): TSchema => Type.Unsafe<unknown>(schema as object);
const optional = Type.Optional;
const numberOrNull = Type.Union([Type.Number(), Type.Null()]);
const interval = Type.Tuple([Type.Number(), Type.Number()]);
const where = Type.Record(Type.String(), Type.Unknown());
const severities = Type.Union(['refuse', 'warn', 'info'].map((s) => Type.Literal(s)));
const verdicts = Type.Union(['identified', 'warned', 'refused'].map((v) => Type.Literal(v)));
const role = Type.Union(roles.map((r) => Type.Literal(r)));

/** What the data say about themselves: code (docs/errors.md), severity, place, next step. */
export const FindingAnswer = Type.Object({
  code: Type.String(),
  severity: severities,
  message: Type.String(),
  where,
  next: Type.String(),
});
const findings = Type.Array(FindingAnswer);

/** An error inside an answer: of a file among others that can be read. */
export const ProblemAnswer = Type.Object({
  code: Type.String(),
  message: Type.String(),
  where: optional(where),
  next: Type.String(),
});

export const FolderAnswer = Type.Object({
  name: Type.String(),
  line: optional(Type.String()),
  invented: Type.Boolean(),
  programVersion: Type.String(),
  error: optional(ProblemAnswer),
});

/** A document as it stands on disk; `document` is its SI form, there only while the text is valid. */
export const EditableAnswer = (schema: JsonSchema) =>
  says<EditableDocument>(
    Type.Object({
      text: Type.String(),
      version: Version,
      document: optional(ofSchema(schema)),
      findings,
      error: optional(ProblemAnswer),
    }),
  );

/** A document that there may not be yet: then without a version. */
export const MaybeEditableAnswer = (schema: JsonSchema) =>
  says<Omit<EditableDocument, 'version'> & { readonly version?: string }>(
    Type.Object({
      text: Type.String(),
      version: optional(Version),
      document: optional(ofSchema(schema)),
      findings,
      error: optional(ProblemAnswer),
    }),
  );

export const ListedDocuments = says<readonly ListedDocument[]>(
  Type.Array(
    Type.Object({ name: Type.String(), version: optional(Version), error: optional(ProblemAnswer) }),
  ),
);

const cell = Type.Object({
  state: Type.Union(['value', 'missing', 'stale'].map((s) => Type.Literal(s))),
  value: optional(Type.Number()),
  quantity: optional(Type.String()),
  interval95: optional(interval),
  words: optional(Type.String()),
  reason: optional(Type.String()),
  findings: optional(findings),
});
const action = Type.Object({
  kind: Type.String(),
  words: Type.String(),
  view: Type.String(),
  parameters: Type.Record(Type.String(), Type.Unknown()),
});

/** The commissioning board (docs/board.md). */
export const BoardAnswer = says<BoardDocument>(
  Type.Object({
    schema: Type.Literal('tautline/board@1'),
    line: optional(Type.String()),
    invented: Type.Boolean(),
    rows: Type.Array(
      Type.Object({
        name: Type.String(),
        section: optional(Type.String()),
        drive: optional(Type.String()),
        driveFile: optional(Type.String()),
        cells: Type.Record(Type.String(), cell),
      }),
    ),
    next: Type.Array(
      Type.Object({
        weight: Type.String(),
        row: optional(Type.String()),
        facts: Type.Array(Type.String()),
        why: Type.String(),
        action,
      }),
    ),
  }),
);

export const RecordingsAnswer = says<readonly RecordingEntry[]>(
  Type.Array(
    Type.Object({
      name: Type.String(),
      file: Type.String(),
      kind: Type.Union([Type.Literal('imported'), Type.Literal('export')]),
      drive: optional(Type.String()),
      visit: optional(Type.String()),
      bytes: Type.Number(),
      rows: optional(Type.Number()),
      channels: optional(Type.Record(Type.String(), Type.String())),
      sha256: optional(Version),
      error: optional(ProblemAnswer),
    }),
  ),
);

const column = Type.Object({
  header: Type.String(),
  unit: optional(Type.String()),
  kind: Type.String(),
  role: optional(role),
});

export const TraceAnswer = says<TraceDocument>(
  Type.Object({
    schema: Type.Literal('tautline/trace@1'),
    file: Type.String(),
    key: Hash,
    samples: Type.Number(),
    time: Type.Object({
      unit: Type.Union([Type.Literal('s'), Type.Literal('row')]),
      header: Type.String(),
      from: Type.Number(),
      to: Type.Number(),
    }),
    columns: Type.Array(column),
    findings,
  }),
);

/** How an upload would be read, and what it does not say. */
export const ProposalAnswer = says<{ readonly upload: string; readonly proposal: Proposal }>(
  Type.Object({
    upload: Hash,
    proposal: Type.Object({
      file: Type.String(),
      bytes: Type.Number(),
      text: Type.Array(Type.String()),
      columns: Type.Array(column),
      rows: Type.Array(Type.Array(numberOrNull)),
      questions: Type.Array(
        Type.Object({
          kind: Type.Union([Type.Literal('unit'), Type.Literal('column')]),
          role,
          choices: Type.Array(Type.String()),
          message: Type.String(),
          needed: Type.Boolean(),
        }),
      ),
      findings,
    }),
  }),
);

export const ResultsAnswer = says<readonly IdentificationEntry[]>(
  Type.Array(
    Type.Object({
      name: Type.String(),
      drive: Type.String(),
      visit: Type.String(),
      version: Version,
      verdict: optional(verdicts),
      standsForDrive: optional(Type.Boolean()),
      staleBecause: Type.Array(
        Type.Object({ input: Type.String(), file: Type.String(), message: Type.String() }),
      ),
      error: optional(ProblemAnswer),
    }),
  ),
);

export const ResultAnswer = says<IdentificationDocument>(ofSchema(identificationSchema));

const table = {
  rows: Type.Array(Type.Object({ speed_rad_per_s: Type.Number(), torque_Nm: Type.Number() })),
  breakawayAssist: optional(Type.Object({ torque_Nm: Type.Number(), interval95_Nm: interval })),
  interpolationError_Nm: optional(Type.Number()),
};

/** The torque feed-forward of a result. */
export const FeedForwardAnswer = says<FeedForwardDocument>(
  Type.Object({
    schema: Type.Literal('tautline/feedforward@1'),
    name: Type.String(),
    verdict: verdicts,
    findings,
    ...table,
    reverse: optional(Type.Object(table)),
  }),
);

const peakAndRms = Type.Object({ peak_Nm: Type.Number(), rms_Nm: Type.Number() });
const ranges = Type.Object({ min: Type.Array(numberOrNull), max: Type.Array(numberOrNull) });

/** What the web would have felt in a recording. */
export const PlayedAnswer = says<PlayedDocument>(
  Type.Object({
    schema: Type.Literal('tautline/feedforward-play@1'),
    name: Type.String(),
    verdict: verdicts,
    findings,
    forcePerTorque_per_m: optional(Type.Number()),
    summary: Type.Array(
      Type.Object({ kind: Type.String(), count: Type.Number(), without: peakAndRms, with: peakAndRms }),
    ),
    stretches: Type.Array(
      Type.Object({
        kind: Type.String(),
        from_s: Type.Number(),
        to_s: Type.Number(),
        without: peakAndRms,
        with: peakAndRms,
      }),
    ),
    trace: optional(
      Type.Object({
        time_s: Type.Array(Type.Number()),
        speed_rad_per_s: ranges,
        without_Nm: ranges,
        with_Nm: ranges,
      }),
    ),
  }),
);

/** What changed between two results. */
export const ComparisonAnswer = says<ComparisonDocument>(
  Type.Object({
    schema: Type.Literal('tautline/comparison@1'),
    name: Type.String(),
    verdict: verdicts,
    findings,
    changes: Type.Array(
      Type.Object({
        name: Type.String(),
        earlier: Type.Number(),
        later: Type.Number(),
        earlierInterval95: interval,
        laterInterval95: interval,
        ratio: optional(Type.Number()),
        ratioInterval95: optional(interval),
        verdict: Type.String(),
      }),
    ),
    notCompared: Type.Array(Type.Object({ name: Type.String(), why: Type.String() })),
  }),
);

/** What a job makes, by its kind. */
const identified = Type.Object({
  document: ResultAnswer,
  trace: optional(
    Type.Object({
      time_s: Type.Array(numberOrNull),
      speed_rad_per_s: Type.Array(numberOrNull),
      torque_Nm: Type.Array(numberOrNull),
      torqueFitted_Nm: Type.Array(numberOrNull),
    }),
  ),
  stored: optional(Type.String()),
});
const imported = Type.Object({
  verdict: Type.Union([Type.Literal('imported'), Type.Literal('refused')]),
  name: optional(Type.String()),
  written: optional(Type.Object({ data: Type.String(), document: Type.String() })),
  document: ofSchema(recordingSchema),
  findings,
});

/** Long work: how far it is, and what came of it. */
export const JobAnswer = says<JobDocument>(
  Type.Object({
    id: Hash,
    kind: Type.String(),
    state: Type.Union(['queued', 'running', 'done', 'failed', 'cancelled'].map((s) => Type.Literal(s))),
    progress: Type.Object({ done: Type.Number(), total: Type.Number(), words: Type.String() }),
    result: optional(Type.Union([identified, imported])),
    error: optional(ProblemAnswer),
  }),
);
