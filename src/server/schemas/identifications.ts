import { Type } from 'typebox';
import { Name, strict } from './common.js';

/** Stretches of time [s]. */
const Ranges = Type.Optional(Type.Array(Type.Tuple([Type.Number(), Type.Number()]), { maxItems: 1000 }));

export const IdentifyBody = Type.Object(
  {
    recording: Name,
    drive: Name,
    options: Type.Optional(
      Type.Object(
        {
          exclude: Ranges,
          include: Ranges,
          flipTorque: Type.Optional(Type.Boolean()),
          compensateDelay: Type.Optional(Type.Number({ minimum: -10, maximum: 10 })),
        },
        strict,
      ),
    ),
    store: Type.Optional(Type.Boolean()),
    /** Visit under which it is kept; by default the one that the recording's name states, else today. */
    visit: Type.Optional(Type.String({ pattern: '^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$' })),
  },
  strict,
);

export const FeedForwardQuery = Type.Object(
  {
    tolerance: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1 })),
    acceleration: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 100 })),
  },
  strict,
);

export const PlayQuery = Type.Object(
  {
    recording: Name,
    tolerance: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1 })),
    /** Length of the windows that torque is averaged over [s]. */
    average: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 10 })),
    removeOffset: Type.Optional(Type.Boolean()),
    flipTorque: Type.Optional(Type.Boolean()),
    from: Type.Optional(Type.Number()),
    to: Type.Optional(Type.Number()),
    buckets: Type.Optional(Type.Integer({ minimum: 1, maximum: 5000 })),
  },
  strict,
);

export const CompareBody = Type.Object(
  {
    earlier: Name,
    later: Name,
    tolerance: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1 })),
    runningTension_N: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1e7 })),
  },
  strict,
);
