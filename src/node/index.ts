// What a program with files needs beside the engine, on one page. Re-exports only.
export { readDrive, readDriveDocument } from './documents/readDrive.js';
export { readIdentification } from './documents/readIdentification.js';
export {
  type CommissionedSection,
  type CommissionOptions,
  type CommissionResult,
  commissionFolder,
} from './lineFolder/commissionFolder.js';
export { type PlacedLine, readLine } from './lineFolder/readLine.js';
export { type PlacedProduct, readProduct } from './lineFolder/readProduct.js';
export { type ReadStackTest, readStackTest, type StackTestOptions } from './stackTest/readStackTest.js';
export { type ImportOptions, type ImportResult, importRecording } from './store/importRecording.js';
export { readRecordingTable } from './store/readRecordingTable.js';
