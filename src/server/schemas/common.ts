import { Type } from 'typebox';

/** A name that stands for one file of a place of the line folder; what may not be a file's name is refused where it is used. */
export const Name = Type.String({ minLength: 1, maxLength: 200 });
/** What a job, an upload or a version is called. */
export const Hash = Type.String({ pattern: '^[0-9a-f]{16,64}$' });
/** SHA-256 of the bytes of a document. */
export const Version = Type.String({ pattern: '^[0-9a-f]{64}$' });
export const Units = Type.Optional(Type.Union([Type.Literal('si'), Type.Literal('us')]));

export const strict = { additionalProperties: false } as const;

/** Every error. `code` is explained in docs/errors.md. */
export const ErrorBody = Type.Object(
  {
    error: Type.Object({
      code: Type.String(),
      message: Type.String(),
      where: Type.Record(Type.String(), Type.Unknown()),
      next: Type.String(),
    }),
  },
  { description: 'what went wrong, where, and the one action that moves on' },
);
export const errors = { '4xx': ErrorBody, '5xx': ErrorBody };
