import type { JsonSchema } from './jsonSchema.js';

/** A section of the line as far as commissioning needs it. Further keys (geometry, bearings) are kept and not read here. */
export interface LineSectionDocument {
  readonly name: string;
  readonly kind: string;
  /** Path of the drive file, from the line folder; absent for a section without a drive of its own. */
  readonly drive?: string;
}

/** `tautline/line@1`: the machine, sections in web order. */
export interface LineDocument {
  readonly schema: 'tautline/line@1';
  readonly name: string;
  /** True for made-up demonstration data: every report says so at its top. */
  readonly invented?: boolean;
  readonly web_width_m?: number;
  readonly sections: readonly LineSectionDocument[];
}

export const lineSchema: JsonSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Tautline line, version 1',
  type: 'object',
  required: ['schema', 'name', 'sections'],
  properties: {
    schema: { const: 'tautline/line@1', description: 'version of this document' },
    name: { type: 'string', minLength: 1, description: 'what the plant calls the line' },
    invented: { type: 'boolean', description: 'true for made-up demonstration data' },
    web_width_m: { type: 'number', exclusiveMinimum: 0, description: 'width of the web' },
    sections: {
      type: 'array',
      minItems: 1,
      description: 'sections in web order',
      items: {
        type: 'object',
        required: ['name', 'kind'],
        properties: {
          name: { type: 'string', minLength: 1 },
          kind: { type: 'string', minLength: 1 },
          drive: {
            type: 'string',
            minLength: 1,
            description: 'path of the drive file, from the line folder',
          },
        },
      },
    },
  },
};
