import { queryOptions } from '@tanstack/react-query';
import type { AnnotationsDocument } from '../../engine/project/annotations.js';
import type { BoardDocument } from '../../engine/project/board/boardDocument.js';
import type { DriveDocument } from '../../engine/project/drive.js';
import type { PlayedDocument } from '../../engine/project/feedforwardPlay.js';
import type { IdentificationDocument } from '../../engine/project/identification.js';
import type { LineDocument } from '../../engine/project/line/lineDocument.js';
import type { ProductDocument } from '../../engine/project/product/productDocument.js';
import type { RollDocument } from '../../engine/project/roll/rollDocument.js';
import type { UnitSystem } from '../../engine/units/quantity.js';
import { getJson, postJson } from './client.js';
import type {
  Editable,
  FolderInfo,
  Job,
  ListedDocument,
  ListedIdentification,
  ListedRecording,
  MaybeEditable,
  Proposed,
  RecordingTrace,
  Statements,
} from './types.js';

const name = encodeURIComponent;

/** Everything that is asked of the server, with the key under which it is kept. The first word of a key says what a change on disk makes stale. */
export const queries = {
  folder: () =>
    queryOptions({
      queryKey: ['folder'],
      queryFn: ({ signal }) => getJson<FolderInfo>('/api/folder', signal),
    }),
  board: (units: UnitSystem) =>
    queryOptions({
      queryKey: ['board', units],
      queryFn: ({ signal }) => getJson<BoardDocument>(`/api/board?units=${units}`, signal),
      placeholderData: (before) => before,
    }),
  line: () =>
    queryOptions({
      queryKey: ['line'],
      queryFn: ({ signal }) => getJson<Editable<LineDocument>>('/api/line', signal),
    }),
  drives: () =>
    queryOptions({
      queryKey: ['drives'],
      queryFn: ({ signal }) => getJson<ListedDocument[]>('/api/drives', signal),
    }),
  products: () =>
    queryOptions({
      queryKey: ['products'],
      queryFn: ({ signal }) => getJson<ListedDocument[]>('/api/products', signal),
    }),
  product: (product: string) =>
    queryOptions({
      queryKey: ['products', product],
      queryFn: ({ signal }) => getJson<Editable<ProductDocument>>(`/api/products/${name(product)}`, signal),
    }),
  rolls: () =>
    queryOptions({
      queryKey: ['rolls'],
      queryFn: ({ signal }) => getJson<ListedDocument[]>('/api/rolls', signal),
    }),
  roll: (roll: string) =>
    queryOptions({
      queryKey: ['rolls', roll],
      queryFn: ({ signal }) => getJson<Editable<RollDocument>>(`/api/rolls/${name(roll)}`, signal),
    }),
  drive: (drive: string) =>
    queryOptions({
      queryKey: ['drives', drive],
      queryFn: ({ signal }) => getJson<Editable<DriveDocument>>(`/api/drives/${name(drive)}`, signal),
    }),
  recordings: () =>
    queryOptions({
      queryKey: ['recordings'],
      queryFn: ({ signal }) => getJson<ListedRecording[]>('/api/recordings', signal),
    }),
  identifications: () =>
    queryOptions({
      queryKey: ['identifications'],
      queryFn: ({ signal }) => getJson<ListedIdentification[]>('/api/identifications', signal),
    }),
  identification: (identification: string) =>
    queryOptions({
      queryKey: ['identifications', identification],
      queryFn: ({ signal }) =>
        getJson<IdentificationDocument>(`/api/identifications/${name(identification)}`, signal),
    }),
  annotations: (recording: string) =>
    queryOptions({
      queryKey: ['recordings', recording, 'annotations'],
      queryFn: ({ signal }) =>
        getJson<MaybeEditable<AnnotationsDocument>>(`/api/recordings/${name(recording)}/annotations`, signal),
    }),
  recordingTrace: (recording: string) =>
    queryOptions({
      queryKey: ['recordings', recording, 'trace'],
      queryFn: ({ signal }) => getJson<RecordingTrace>(`/api/recordings/${name(recording)}`, signal),
    }),
  /** `options` are those of the route. */
  played: (identification: string, options: Readonly<Record<string, string>>) =>
    queryOptions({
      queryKey: ['identifications', identification, 'played', options],
      queryFn: ({ signal }) =>
        getJson<PlayedDocument>(
          `/api/identifications/${name(identification)}/feedforward/play?${new URLSearchParams(options).toString()}`,
          signal,
        ),
      placeholderData: (before) => before,
    }),
  proposal: (upload: string, statements: Statements) =>
    queryOptions({
      queryKey: ['uploads', upload, statements],
      queryFn: () => postJson<Proposed>(`/api/recordings/${upload}/proposal`, statements),
    }),
  job: <Result>(job: string) =>
    queryOptions({
      queryKey: ['jobs', job],
      queryFn: ({ signal }) => getJson<Job<Result>>(`/api/jobs/${job}`, signal),
      // its end is told at once; asked for besides, should the message have been lost
      refetchInterval: ({ state }) =>
        state.data?.state === 'running' || state.data?.state === 'queued' ? 2000 : false,
    }),
};
