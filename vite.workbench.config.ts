import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

// The workbench as files that the server hands out: no inline script, nothing from elsewhere.
export default defineConfig({
  root: 'src/workbench',
  base: '/',
  plugins: [react()],
  build: {
    outDir: '../../dist/workbench',
    emptyOutDir: true,
    target: 'es2022',
    // a font or picture inside a style sheet would be refused by the server's content policy
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    manifest: true,
  },
});
